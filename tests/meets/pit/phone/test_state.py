"""What each role is told of an event, compared with what the test has kept of it."""

import json
from dataclasses import fields

import pytest

from meets.models import Delivery
from meets.pit.phone.state import Body, Head, OnDisplay
from meets.pit.sync.review import leave_out
from meets.running import actions
from meets.running.reads import state_of
from scoring.log import Turn
from tests.chance import holds_number
from tests.factories import EntryFactory, EventFactory, PastMarkFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY, PIT_BY, play
from tests.meets.pit.phone.conftest import NOW

ROLES = ("recorder", "second", "gauge", "referee", "display")


def keys(cls):
    return {field.name for field in fields(cls)}


def jump(pit, bib, round, mark, *, role="recorder", wind=None, **more):
    """Somebody's trial as a phone of that role sends it; `mark` None is a failure."""
    values = {"entry": pit.key(bib), "round": round, "result": "mark" if mark else "x"} | (
        {"mark": mark} if mark else {}
    )
    pit.send(role, "jumped", values | more)
    if wind is not None:
        pit.send(role, "wind_read", {"entry": pit.key(bib), "round": round, "tenths": wind})


@pytest.mark.parametrize("role", ROLES)
def test_every_key_is_there_for_every_role(pit, role):
    said = pit.state(role)
    assert set(said) == keys(Head) | keys(OnDisplay if role == "display" else Body)
    assert (said["v"], said["role"], said["session"]["id"]) == (1, role, pit.session.pk)
    assert said["session"] == {
        "id": pit.session.pk, "name": pit.session.name, "pit": pit.session.pit.name, "starts": "11:00",
        "gauge": True,
    }  # fmt: skip


def test_before_the_first_trial(pit):
    said = pit.state()
    [event] = said["events"]
    assert (event["stage"], event["says"], event["ready"], event["over"]) == (
        "drawn", "Nobody has jumped yet.", False, False,
    )  # fmt: skip
    assert event["boards"] == [{"cm": 100, "shown": "1 m", "low": 100, "high": 900}]
    assert (event["needs_board"], event["seconds"], event["warning"], event["longest"]) == (False, 60, 15, 950)
    assert (said["unit"], said["digits"], said["last"], said["series"]) == ("cm", 3, [], {})
    assert [(due["kind"], due["says"], due["board_cm"]) for due in said["due"]] == [
        ("ready", "The sand has not been signed off.", None),
        ("measure", "Measure the 1 m board: line to sand edge.", 100),
    ]
    order = [state.line.bib for state in state_of(pit.event).entries]
    queue = [
        (said["people"][turn["entry"]]["bib"], turn["round"], turn["number"], turn["of"]) for turn in said["queue"]
    ]
    assert queue == [(bib, round, n, 3) for round in (1, 2, 3) for n, bib in enumerate(order, 1)]
    up = said["queue"][0]
    assert (up["title"], up["flight"], up["seconds"], up["consecutive"]) == ("Round 1 of 3", "", 60, False)


def test_an_athlete_as_phones_show_them(pit):
    entry = pit.event.entries.get(bib="2")
    person = pit.state()["people"][str(entry.pk)]
    assert person == {
        "event": pit.event.pk, "bib": "2", "name": str(entry.athlete), "school": entry.athlete.school.name,
        "year": "year 9", "tags": [], "board_cm": 100, "board": "1 m", "best": "", "best_mark": None, "away": "",
        "status": "not checked in", "finished": False, "pending": False, "checked_in": False, "say_it": "",
        "range": {"low": 100, "high": 900, "shown": "1.00 to 9.00"}, "reach": "", "reaches": {}, "flight": 1,
        "order": person["order"], "joined": 1, "named": "",
    }  # fmt: skip
    assert entry.athlete.born.isoformat() not in json.dumps(pit.state())


def test_trials_of_a_series(pit):
    jump(pit, "2", 1, 512, wind=14)
    jump(pit, "2", 2, None, reason="line")
    jump(pit, "2", 3, 520)
    said = pit.state()
    first, second, third = said["series"][pit.key("2")]
    sent = [entry["id"] for entry in pit.phone("recorder").said]
    assert first == {
        "turn": f"{pit.key('2')}-1-0", "round": 1, "replacement": 0, "result": "mark", "mark": 512, "shown": "5.12",
        "wind_tenths": 14, "wind": "+1.4", "rows": [sent[0]], "wind_rows": [sent[1]], "disputed": False,
        "wind_disputed": False, "held": False, "confirmed": False, "hidden": False, "void": False, "owed_wind": False,
        "best": False, "board_cm": None, "reason": "", "settled": False,
    }  # fmt: skip
    assert (second["result"], second["shown"], second["reason"]) == (
        "x", "x", "broke the plane of the take-off line, also by running through",
    )  # fmt: skip
    assert (third["shown"], third["owed_wind"], third["best"]) == ("5.20", True, True)
    assert [(one["bib"], one["round"], one["shown"]) for one in said["owed"]] == [("2", 3, "5.20")]
    assert [one["shown"] for one in said["last"]] == ["5.20", "x", "5.12"]
    assert (said["people"][pit.key("2")]["best"], said["people"][pit.key("2")]["best_mark"]) == ("5.20", 520)


def test_what_of_this_phone_is_in_it(pit):
    epoch = str(pit.phone("recorder").epoch)
    assert pit.state()["included"] == {}
    jump(pit, "2", 1, 512)
    assert pit.state()["included"] == {epoch: 1}
    assert pit.state("referee")["included"] == {}


def test_a_wind_read_before_the_trial_is_told_with_its_turn(pit):
    up = pit.state()["queue"][0]
    pit.send("gauge", "wind_read", {"entry": up["entry"], "round": 1, "tenths": -3})
    said = pit.state()["queue"]
    assert [(turn["wind"], turn["wind_tenths"]) for turn in said[:2]] == [("−0.3", -3), ("", None)]
    bib = pit.state()["people"][up["entry"]]["bib"]
    assert [(one["bib"], one["shown"], one["wind"]) for one in pit.state("gauge")["last"]] == [(bib, "", "−0.3")]


def test_the_gauge_operator_sees_winds_and_every_turn_as_the_gauge_too_goes_on_without_signal(pit):
    jump(pit, "2", 1, 512, wind=14)
    jump(pit, "3", 1, 500)
    said = pit.state("gauge")
    assert [(one["bib"], one["wind"], one["shown"]) for one in said["last"]] == [("2", "+1.4", "5.12")]
    assert [one["turn"] for one in said["queue"]] == [one["turn"] for one in pit.state()["queue"]]
    assert [one["bib"] for one in said["owed"]] == ["3"]
    assert (said["series"], said["places"], said["asks"], said["alarms"], said["due"]) == ({}, [], {}, [], [])


@pytest.mark.parametrize(("role", "settled"), [("recorder", False), ("referee", True)])
def test_a_trial_that_a_referee_put_right_is_settled(pit, role, settled):
    jump(pit, "1", 1, 512, wind=14)
    jump(pit, "2", 1, 521)
    first = pit.phone("recorder").said[0]
    pit.send(role, "jumped", first["values"] | {"mark": 521}, supersedes=[first["id"]], reason="read again")
    for of in ("recorder", "referee"):
        said = pit.state(of)["series"]
        assert [(one["shown"], one["settled"]) for one in said[pit.key("1")]] == [("5.21", settled)]
        assert [one["settled"] for one in said[pit.key("2")]] == [False]


def test_a_turn_that_only_the_second_has_written_is_still_open_for_the_recorder(pit):
    up = pit.state()["queue"][0]
    bib = pit.state()["people"][up["entry"]]["bib"]
    jump(pit, bib, 1, 512, role="second")
    assert pit.state()["queue"][0]["turn"] == up["turn"]
    assert pit.state()["series"] == {}
    assert pit.state("referee")["queue"][0]["turn"] != up["turn"]
    jump(pit, bib, 1, 512)
    said = pit.state()
    assert said["queue"][0]["turn"] != up["turn"]
    assert [(one["shown"], one["confirmed"]) for one in said["series"][up["entry"]]] == [("5.12", True)]


def test_records_that_differ(pit):
    jump(pit, "2", 1, 543, wind=14)
    jump(pit, "2", 1, 534, role="second", wind=15)
    said = pit.state("referee")["disputes"]
    recorder, second = pit.phone("recorder").said, pit.phone("second").said
    first, other = ([{"values": one["values"], "by": "R. Corder"} for one in sent] for sent in (recorder, second))
    assert [(one["bib"], one["what"], one["values"]) for one in said] == [
        ("2", "trial", [
            {"rows": [recorder[0]["id"]], "shown": "5.43", "recorder": "pit", **first[0]},
            {"rows": [second[0]["id"]], "shown": "5.34", "recorder": "second recorder", **other[0]},
        ]),
        ("2", "wind", [
            {"rows": [recorder[1]["id"]], "shown": "+1.4", "recorder": "pit", **first[1]},
            {"rows": [second[1]["id"]], "shown": "+1.5", "recorder": "second recorder", **other[1]},
        ]),
    ]  # fmt: skip
    assert pit.state("referee")["series"][pit.key("2")][0]["held"] is True
    assert pit.state("display")["last"][0]["shown"] == "being checked"
    assert pit.state("display")["places"][0]["rows"] == [
        {"place": "1", "entry": pit.key("2"), "bib": "2", "name": pit.state()["people"][pit.key("2")]["name"],
         "best": "", "status": "", "why": "being checked"},
    ]  # fmt: skip
    assert "5.43" not in json.dumps(pit.state("display"))


def test_a_mark_under_protest_is_kept_from_the_display(pit):
    jump(pit, "2", 1, 543, result="x", under_protest=True, reason="line")
    pit.send("recorder", "protest_lodged", {"protest": "p1", "entry": pit.key("2"), "round": 1}, reason="oral")
    trial = pit.state()["series"][pit.key("2")][0]
    assert (trial["shown"], trial["mark"], trial["hidden"], trial["held"]) == ("x", 543, True, True)
    [protest] = pit.state()["protests"]
    assert (protest["protest"], protest["turn"], protest["bib"], protest["reason"], protest["upheld"]) == (
        "p1", f"{pit.key('2')}-1-0", "2", "oral", None,
    )  # fmt: skip
    assert [alarm["says"] for alarm in pit.state()["alarms"]] == []
    assert pit.state("display")["last"][0]["shown"] == "being checked"
    assert not holds_number("5.?43", pit.get("display").content.decode())


def test_the_display_is_small(pit):
    play(pit.event, until_round=2)
    text = pit.get("display").content.decode()
    assert len(text) < 4000
    said = json.loads(text)
    assert (len(said["queue"]), len(said["last"])) == (1, 1)
    assert set(said["people"]) == {said["queue"][0]["entry"], said["last"][0]["entry"]}


def test_the_cut_is_there_with_the_last_trial_of_the_round(pit):
    for bib in range(4, 13):
        EntryFactory(event=pit.event, bib=str(bib), seed_mark=None)
    actions.draw(event_id=pit.event.pk, seed=7, **DESK_BY)
    play(pit.event, until_round=1)
    trials = pit.state()["trials"]
    assert trials["says"] == "12 started, more than 8: the best 8 after round 3 take 6 trials."
    actions.confirm_trials(
        event_id=pit.event.pk, rounds=6, with_cut=True, **PIT_BY, seen_version=state_of(pit.event).version
    )
    assert pit.state()["trials"] is None
    play(pit.event, until_round=3)
    state = state_of(pit.event)
    cut = pit.state()["cut"]
    bibs = {entry.line.entry: entry.line.bib for entry in state.entries}
    assert [one["bib"] for one in cut["order"]] == [bibs[entry] for entry in state.order_proposal.order]
    assert len(cut["out"]) == 4
    ninth = state.places[8]
    assert (cut["out"][0]["bib"], cut["first_out"]) == (
        bibs[ninth.entry], f"Bib {bibs[ninth.entry]}: {cut['out'][0]['says']}",
    )  # fmt: skip
    assert cut["out"][0]["says"].startswith("Out: 9th with ")
    assert cut["says"] == "After round 3 8 go on; in this order:"
    assert cut["link"] == f"/pit/{pit.session.pk}/decide/{pit.event.pk}/"
    assert {due["kind"] for due in pit.state()["due"]} >= {"cut"}


def test_places_as_they_stand(pit):
    jump(pit, "2", 1, 512, wind=0)
    jump(pit, "3", 1, 530, wind=0)
    [places] = pit.state("referee")["places"]
    assert [(row["place"], row["bib"], row["best"], row["why"]) for row in places["rows"]][:2] == [
        ("1", "3", "5.30", "Best 5.30."), ("2", "2", "5.12", "Best 5.12."),
    ]  # fmt: skip


def test_winds_read_lately(pit):
    for bib, wind in (("1", 14), ("2", 12), ("3", 12)):
        jump(pit, bib, 1, 500, wind=wind)
    asks = pit.state()["ask_winds"]
    assert (asks["last"], asks["flip"], asks["stale"]) == ([14, 12, 12], 20, 3)
    assert [(band["from"], band["to"], band["kind"]) for band in asks["bands"]] == [
        (-200, -9, "wind sign"), (12, 12, "stale wind"),
    ]  # fmt: skip
    assert asks["bands"][0]["says"] == "{wind}, while the last readings were about +1.2. Is the sign right?"
    assert pit.state("second")["ask_winds"]["last"] == []


def test_marks_that_raise_a_question(pit):
    entry = pit.key("2")
    asks = pit.state()["asks"][entry]
    assert (asks["round"], asks["board_cm"]) == (1, 100)
    kinds = [(band["from"], band["to"], band["kind"]) for band in asks["marks"]]
    assert kinds == [
        (1, 99, "range"), (100, 356, "below"), (357, 412, "metre"), (541, 557, "above"), (558, 613, "metre"),
        (614, 900, "above"), (901, 950, "range"),
    ]  # fmt: skip
    metre = asks["marks"][2]
    assert (metre["says"], metre["guess"]) == (
        "{guess} or {mark}? Bib 2 usually jumps about 4.85.", {"add": 100, "swap": None},
    )  # fmt: skip
    jump(pit, "2", 1, 450, wind=0)
    assert pit.state()["asks"][entry]["round"] == 2


def test_a_doubt_about_the_board(pit):
    entry = pit.event.entries.get(bib="2")
    entry.board_cm = 300
    entry.save()
    PastMarkFactory(athlete=entry.athlete, mark_cm=320)
    said = pit.state()["people"][str(entry.pk)]
    assert said["reach"] == "Board 3 m, known reach 3.20 m: lands only 0.20 m into the sand; 1.5 m would be safer."
    assert said["range"] == {"low": 300, "high": 1100, "shown": "3.00 to 11.00"}


def test_the_board_is_measured_before_each_round(pit):
    def to_measure():
        return [due["board_cm"] for due in pit.state()["due"] if due["kind"] == "measure"]

    assert to_measure() == [100]
    pit.send("recorder", "board_checked", {"board_cm": 100, "measured_cm": 101})
    assert to_measure() == []
    for bib in ("1", "2", "3"):
        jump(pit, bib, 1, 500, wind=0)
    assert to_measure() == [100]
    pit.send("recorder", "board_checked", {"board_cm": 100, "measured_cm": 104})
    assert to_measure() == [100]
    [alarm] = [alarm for alarm in pit.state()["alarms"] if alarm["key"].startswith("board")]
    assert alarm["says"].endswith(
        "The board at 1.00 m was measured as 1.04 m: check all marks since the last good check."
    )


def test_two_events_in_one_session_are_one_list(pit):
    other = EventFactory(meet=pit.event.meet, discipline="LJ", boards_cm=[100], age_group="U16", name="Under sixteen")
    EntryFactory(event=other, bib="21", seed_mark=None)
    actions.draw(event_id=other.pk, seed=1, **DESK_BY)
    SessionPartFactory(event=other, session=pit.session)
    said = pit.state()
    assert [event["name"] for event in said["events"]] == [pit.event.name, "Under sixteen"]
    assert [turn["event"] for turn in said["queue"][:4]] == [pit.event.pk] * 3 + [other.pk]
    assert len(said["places"]) == 2


def test_only_turns_left_are_asked_about(pit):
    pit.send("recorder", "withdrew", {"entry": pit.key("1")})
    said = pit.state()
    assert set(said["asks"]) == {pit.key("2"), pit.key("3")}
    assert said["people"][pit.key("1")]["finished"] is True
    assert Turn(pit.key("1"), 1) not in {tuple(turn["turn"].split("-")) for turn in said["queue"]}


def test_who_retires_before_the_first_trial_is_not_called_absent(pit):
    pit.send("recorder", "checked_in", {"entry": pit.key("1")})
    pit.send("recorder", "withdrew", {"entry": pit.key("1")})
    pit.send("recorder", "did_not_start", {"entry": pit.key("2")})
    people = pit.state()["people"]
    assert people[pit.key("1")]["status"] == "retired without a trial"
    assert people[pit.key("2")]["status"] == "does not start"


def test_what_waits_at_the_desk_is_named_to_its_own_phone(pit):
    jump(pit, "1", 9, 512)
    waits = [pit.phone("recorder").said[-1]["id"]]
    assert pit.state()["in_review"] == waits
    assert pit.state("second")["in_review"] == []
    leave_out(delivery=Delivery.objects.get(pk=waits[0]), by="desk", reason="no such round", now=NOW)
    assert pit.state()["in_review"] == []


def test_an_alarm_repeats_no_list(pit):
    jump(pit, "1", 1, 512)
    jump(pit, "1", 1, 521, role="second")
    pit.send("recorder", "protest_lodged", {"protest": "a", "entry": pit.key("1"), "round": 1}, reason="line")
    said = pit.state("referee")
    assert (len(said["disputes"]), len(said["protests"]), said["alarms"]) == (1, 1, [])


@pytest.mark.parametrize(
    ("kind", "values"),
    [("card", {"colour": "yellow"}), ("disqualified", {}), ("disregarded", {"round": 2}), ("called_in", {"round": 2})],
)
def test_what_the_page_of_the_referee_writes_goes_into_the_log(pit, kind, values):
    answer = pit.send("referee", kind, {"entry": pit.key("1"), **values}, reason="the referee saw it")
    assert [one.status for one in answer.results] == ["stored"]
    assert pit.event.log.get(kind=kind).values == {"entry": pit.key("1"), **values}
