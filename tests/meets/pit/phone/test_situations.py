"""Situations of the day, by their numbers: a phone is told all that its screen needs."""

import pytest

from meets.running import actions
from meets.running.reads import state_of
from scoring.log import Turn
from tests.factories import (
    AthleteFactory,
    EntryFactory,
    EventFactory,
    PitSessionFactory,
    SessionPartFactory,
)
from tests.meets.pit.conftest import DESK_BY, PIT_BY
from tests.meets.pit.phone.conftest import Pit
from tests.meets.pit.phone.test_state import jump


def bibs(said):
    return [said["people"][turn["entry"]]["bib"] for turn in said["queue"]]


def due(said):
    return [one["kind"] for one in said["due"]]


@pytest.fixture
def triple(client, db):
    """A triple jump with boards at 9 and 11 m; everybody jumps from 11."""
    event = EventFactory(discipline="TJ", boards_cm=[900, 1100])
    for bib in ("1", "2"):
        EntryFactory(event=event, bib=bib, seed_mark=1180, board_cm=1100)
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    return Pit(client, session, event)


def test_3_another_board(triple):
    before = triple.state()["people"][triple.key("2")]
    assert (before["board"], before["range"]["shown"]) == ("11 m", "11.00 to 19.00")
    assert before["reach"].startswith("Board 11 m, known reach 11.80 m: lands only 0.80 m into the sand")
    assert before["reaches"] == {"1100": before["reach"]}
    assert triple.state()["events"][0]["needs_board"] is True
    triple.send("recorder", "board_set", {"entry": triple.key("2"), "board_cm": 900})
    for role in ("recorder", "second", "gauge", "referee"):
        after = triple.state(role)["people"][triple.key("2")]
        assert (after["board"], after["board_cm"], after["range"]["low"], after["reach"]) == ("9 m", 900, 900, "")
    assert [one["board_cm"] for one in triple.state()["due"] if one["kind"] == "measure"] == [900, 1100]


def test_5_the_gauge_fails(pit):
    jump(pit, "2", 1, 512, wind=14)
    jump(pit, "3", 1, 505)
    pit.send("gauge", "no_gauge", {})
    jump(pit, "1", 1, 498)
    said = pit.state()
    assert said["events"][0]["no_gauge"] is True
    winds = {said["people"][entry]["bib"]: trials[0]["wind"] for entry, trials in said["series"].items()}
    assert winds == {"2": "+1.4", "3": "", "1": "NWI"}
    assert [one["bib"] for one in said["owed"]] == ["3"]


def test_6_jumped_under_the_bib_of_another(pit):
    jump(pit, "3", 1, 512, wind=14)
    trial = pit.state()["series"][pit.key("3")][0]
    rows = [*trial["rows"], *trial["wind_rows"]]
    pit.send("recorder", "voided", {"entry": pit.key("3"), "round": 1, "moved_to": pit.key("2")},
             supersedes=rows, reason="the body of 2")  # fmt: skip
    jump(pit, "2", 1, 512, wind=14)
    said = pit.state()
    assert bibs(said)[:2] == ["3", "1"]
    assert [(turn["number"], turn["of"]) for turn in said["queue"][:2]] == [(2, 3), (3, 3)]
    void, moved = said["series"][pit.key("3")][0], said["series"][pit.key("2")][0]
    assert (void["void"], void["reason"], void["rows"]) == (True, "the body of 2", [])
    assert (moved["shown"], moved["void"]) == ("5.12", False)


def test_8_flights_at_two_pits(client, event):
    event.rule_changes = {"flight_size": "2"}
    event.save()
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    flights = state_of(event).flights
    assert len(flights) == 2
    sessions = [PitSessionFactory(pit__meet=event.meet) for _ in flights]
    for flight, session in enumerate(sessions, 1):
        SessionPartFactory(event=event, session=session, flight=flight, further_trials=flight == 1)
    here, there = (Pit(client, session, event) for session in sessions)
    assert {turn["entry"] for turn in here.state()["queue"]} == {*flights[0]}
    assert {turn["entry"] for turn in there.state()["queue"]} == {*flights[1]}
    keys = {str(entry.pk): entry.bib for entry in event.entries.all()}
    for round in (1, 2, 3):
        for entry in flights[0]:
            jump(here, keys[entry], round, 500, wind=0)
    said = here.state()
    many = 3 * len(flights[1])
    assert said["events"][0]["waits"] == f"Waiting for flight 2 at another pit: {many} turns to go."
    assert (said["cut"], said["queue"]) == (None, [])


def test_12_away_at_another_event(pit):
    pit.send("recorder", "left", {"entry": pit.key("2"), "where": "triple jump at pit 2", "back_at": "10.50"})
    said = pit.state()
    assert said["people"][pit.key("2")]["away"] == "triple jump at pit 2, 10.50"
    away = [turn for turn in said["queue"] if turn["away"]]
    assert [(turn["entry"], turn["away"], turn["round"]) for turn in away] == [
        (pit.key("2"), "triple jump at pit 2, 10.50", 1)
    ]
    for bib in ("3", "1"):
        jump(pit, bib, 1, 500, wind=0)
    said = pit.state()
    assert said["events"][0]["waits"] == "Waiting for bib 2, away with leave."
    assert "away" in due(said)


def test_12_also_in_another_event(pit):
    other = EventFactory(meet=pit.event.meet, discipline="TJ", age_group="U17", name="Triple jump")
    EntryFactory(event=other, athlete=pit.event.entries.get(bib="2").athlete, bib="52")
    assert pit.state()["people"][pit.key("2")]["tags"] == ["also in Triple jump"]


def cut_round(pit, marks):
    """An event of ten whose three rounds are jumped; `marks`: the best of each bib, the other trials failed."""
    for bib in range(4, 11):
        EntryFactory(event=pit.event, bib=str(bib), seed_mark=None)
    actions.draw(event_id=pit.event.pk, seed=7, **DESK_BY)
    for round in (1, 2, 3):
        for bib, mark in marks.items():
            jump(pit, bib, round, mark if round == 1 else None, wind=0 if round == 1 else None)
        if round == 1:
            version = state_of(pit.event).version
            actions.confirm_trials(event_id=pit.event.pk, rounds=6, with_cut=True, seen_version=version, **PIT_BY)


MARKS = {str(bib): 500 - 5 * bib for bib in range(1, 11)}


def test_15_eighth_and_ninth_fully_equal_both_go_on(pit):
    cut_round(pit, MARKS | {"9": MARKS["8"]})
    cut = pit.state()["cut"]
    assert sorted(one["bib"] for one in cut["order"]) == sorted("123456789")
    assert cut["first_out"] == "Bib 10: Out: 10th with 4.50, and the best 8 go on."
    nine = next(one for one in cut["order"] if one["bib"] == "9")
    assert nine["says"].startswith("In: equal in every mark for the last of 8 places")


def test_16_a_correction_that_changes_the_cut(pit):
    cut_round(pit, MARKS)
    state = state_of(pit.event)
    actions.take_cut(event_id=pit.event.pk, going_on=state.cut_proposal.going_on, seen_version=state.version, **PIT_BY)
    trial = pit.state("referee")["series"][pit.key("9")][0]
    values = {"entry": pit.key("9"), "round": 1, "result": "mark", "mark": 544}
    pit.send("referee", "jumped", values, supersedes=trial["rows"], reason="digits exchanged")
    said = pit.state("referee")
    cut = next(alarm for alarm in said["alarms"] if alarm["key"].startswith("cut"))
    assert cut["says"].endswith("by the trials as they stand now it would be: +9, -8.")
    assert set(cut["entries"]) == {pit.key("8"), pit.key("9")}
    assert said["places"][0]["rows"][0]["bib"] == "9"


def test_18_measured_under_protest(pit):
    jump(pit, "2", 1, 543, result="x", under_protest=True, reason="line")
    pit.send("recorder", "protest_lodged", {"protest": "p1", "entry": pit.key("2"), "round": 1}, reason="at once")
    trial = pit.state("referee")["series"][pit.key("2")][0]
    assert (trial["shown"], trial["mark"], trial["hidden"], trial["reason"]) == (
        "x", 543, True, "broke the plane of the take-off line, also by running through",
    )  # fmt: skip
    pit.send("referee", "protest_decided", {"protest": "p1", "upheld": True}, reason="the plane was whole")
    said = pit.state("referee")
    assert (said["protests"][0]["upheld"], said["protests"][0]["decision"]) == (True, "the plane was whole")
    assert (said["series"][pit.key("2")][0]["shown"], said["people"][pit.key("2")]["best"]) == ("5.43", "5.43")


def test_24_two_age_groups_are_one_list_with_two_results(pit):
    other = EventFactory(meet=pit.event.meet, discipline="LJ", boards_cm=[100], age_group="U16", name="Under sixteen")
    EntryFactory(event=other, bib="21", seed_mark=None)
    actions.draw(event_id=other.pk, seed=1, **DESK_BY)
    SessionPartFactory(event=other, session=pit.session)
    said = pit.state()
    assert bibs(said)[:5] == ["2", "3", "1", "21", "2"]
    assert [one["event"] for one in said["places"]] == [pit.event.pk, other.pk]
    assert said["people"][str(other.entries.get().pk)]["event"] == other.pk


def test_26_a_phone_dies(client, pit):
    pit.phone("recorder").send(jump(pit, "2", 1, 512) or pit.phone("recorder").said[0], max_seq=4)
    died = pit.phones.pop("recorder")
    said = pit.state()
    assert pit.phone("recorder") is not died
    assert [one["shown"] for one in said["series"][pit.key("2")]] == ["5.12"]
    [missing] = said["missing"]
    assert missing["says"] == f"Phone {died.device.number} (R. Corder) has not sent its entries 2–4 yet."


def test_27_two_records_differ(pit):
    jump(pit, "2", 1, 543)
    jump(pit, "2", 1, 534, role="second")
    said = pit.state("referee")
    [dispute] = said["disputes"]
    assert {(one["shown"], one["by"], one["recorder"]) for one in dispute["values"]} == {
        ("5.43", "R. Corder", "pit"), ("5.34", "R. Corder", "second recorder"),
    }  # fmt: skip
    assert "disputes" in due(said)
    assert due(said)[-1] == "disputes"


def test_29_two_of_one_name_in_one_school(pit):
    first = pit.event.entries.get(bib="2").athlete
    twin = AthleteFactory(
        school=first.school, first_name=first.first_name, last_name=first.last_name, school_year="10", sex=first.sex
    )
    EntryFactory(event=pit.event, athlete=twin, bib="42")
    people = [one for one in pit.state()["people"].values() if one["name"] == str(first)]
    assert {(one["bib"], one["year"]) for one in people} == {("2", "year 9"), ("42", "year 10")}


def test_32_the_list_was_drawn_again(pit):
    assert pit.state()["events"][0]["list_version"] == 1
    actions.draw(event_id=pit.event.pk, seed=8, **DESK_BY)
    assert pit.state()["events"][0]["list_version"] == 2


def test_17_and_11_a_replacement_trial_is_the_next_turn(pit):
    jump(pit, "2", 1, 512)
    pit.send("referee", "replaced", {"entry": pit.key("2"), "round": 1}, reason="runway crossed")
    up = pit.state()["queue"][0]
    assert (up["entry"], up["round"], up["replacement"], up["why"]) == (pit.key("2"), 1, 1, "replacement trial")
    assert pit.state()["series"][pit.key("2")][0]["void"] is True


def test_21_somebody_who_is_not_on_the_list(pit):
    named = "new-3f0e3d5c-6f5a-4c39-9b60-2f4f1d0a7b11"
    said = {"name": "Keziah Farrowin", "school": "Thornwick School", "bib": "", "year": 2013}
    pit.send("recorder", "added", {"entry": named, "flight": 1}, named=said)
    [added] = [one for one in pit.state()["people"].values() if one["pending"]]
    assert (added["name"], added["named"], added["tags"]) == ("Keziah Farrowin", named, ["guest", "added at the pit"])
    assert Turn(str(pit.event.entries.get(named_at_pit=named[4:]).pk), 1) in [
        Turn(turn["entry"], turn["round"]) for turn in pit.state()["queue"]
    ]
