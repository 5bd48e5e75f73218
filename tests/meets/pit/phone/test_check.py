"""The end of a round: both records compared, and what looks wrong although they agree."""

import pytest

from meets.running import actions
from meets.running.reads import state_of
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.phone.test_state import jump

BIBS = ("1", "2", "3")
ROUND = {"1": 500, "2": None, "3": 512}


def write_round(pit, round=1, *, role="recorder", leave_out=(), **other):
    for bib in BIBS:
        if bib not in leave_out:
            jump(pit, bib, round, other.get(f"bib{bib}", ROUND[bib]), role=role)


def told(pit, role="recorder"):
    check = pit.state(role)["check"]
    return check and (check["round"], check["agree"], check["of"], check["says"])


def test_no_check_without_a_second_record_and_none_before_the_end(pit):
    write_round(pit)
    assert told(pit) is None
    jump(pit, "1", 2, 505)
    jump(pit, "1", 2, 505, role="second")
    assert told(pit) is None


@pytest.mark.parametrize("role", ["recorder", "second", "referee"])
def test_all_agree(pit, role):
    write_round(pit)
    write_round(pit, role="second")
    assert told(pit, role) == (1, 3, 3, "Round 1: all 3 agree.")
    assert pit.state(role)["check"]["differences"] == []


def test_of_two_flights_the_one_that_is_over_is_named(pit, event):
    event.rule_changes = {"flight_size": "2"}
    event.save()
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    first, second = ([event.entries.get(pk=entry).bib for entry in flight] for flight in state_of(event).flights)
    for bibs, says in (
        (first, "Round 1, flight 1: all 2 agree."),
        (second, "Round 1, flight 2: the one trial agrees."),
    ):
        for bib in bibs:
            for role in ("recorder", "second"):
                jump(pit, bib, 1, 500 + int(bib), role=role)
        assert told(pit)[3] == says


@pytest.mark.parametrize(("role", "own", "other"), [("recorder", "5.12", "5.21"), ("second", "5.21", "5.12")])
def test_both_values_of_a_difference(pit, role, own, other):
    write_round(pit)
    write_round(pit, role="second", bib3=521)
    assert told(pit, role) == (1, 2, 3, "Round 1: 1 of 3 differs.")
    [difference] = pit.state(role)["check"]["differences"]
    assert difference == {
        "turn": f"{pit.key('3')}-1-0", "event": pit.event.pk, "entry": pit.key("3"), "bib": "3", "what": "trial",
        "own": own, "other": other,
    }  # fmt: skip


def test_winds_are_compared_too(pit):
    write_round(pit)
    write_round(pit, role="second")
    pit.send("recorder", "wind_read", {"entry": pit.key("3"), "round": 1, "tenths": 14})
    pit.send("second", "wind_read", {"entry": pit.key("3"), "round": 1, "tenths": -14})
    [difference] = pit.state()["check"]["differences"]
    assert (difference["what"], difference["own"], difference["other"]) == ("wind", "+1.4", "−1.4")


def test_blanks_of_the_second_record(pit):
    write_round(pit)
    write_round(pit, role="second", leave_out=("1", "3"))
    assert told(pit) == (1, 1, 3, "Round 1: 1 of 3 agrees. 2 not yet entered in both records: bibs 1, 3.")
    check = pit.state()["check"]
    assert (check["differences"], check["missing"]) == ([], ["1", "3"])
    said = pit.state("second")["check"]
    assert (said["says"], said["differences"]) == ("Round 1: bibs 1, 3 are not written here yet.", [])


def test_a_blank_stands_beside_what_differs(pit):
    write_round(pit)
    write_round(pit, role="second", leave_out=("1",), bib3=521)
    says = "Round 1: 1 of 3 differs. 1 not yet entered in both records: bib 1."
    assert told(pit, "referee") == (1, 1, 3, says)
    assert [one["bib"] for one in pit.state("referee")["check"]["differences"]] == ["3"]


@pytest.mark.parametrize("role", ["recorder", "referee"])
def test_it_goes_when_the_next_round_is_under_way_and_nothing_differs(pit, role):
    write_round(pit)
    write_round(pit, role="second", leave_out=("1",))
    assert told(pit, role) is not None
    jump(pit, "1", 2, 505)
    assert told(pit, role) is None


def test_a_difference_stays_while_the_next_round_is_jumped(pit):
    write_round(pit)
    write_round(pit, role="second", bib3=521)
    jump(pit, "1", 2, 505)
    assert told(pit) == (1, 2, 3, "Round 1: 1 of 3 differs.")


def test_settled_by_the_referee(pit):
    write_round(pit)
    write_round(pit, role="second", bib3=521)
    [dispute] = pit.state("referee")["disputes"]
    rows = [row for value in dispute["values"] for row in value["rows"]]
    pit.send("referee", "jumped", {"entry": pit.key("3"), "round": 1, "result": "mark", "mark": 512},
             supersedes=rows, reason="heard both")  # fmt: skip
    assert told(pit, "referee") == (1, 3, 3, "Round 1: all 3 agree.")


def test_the_check_is_of_the_round_that_ended_last(pit):
    for round in (1, 2):
        write_round(pit, round)
        write_round(pit, round, role="second")
    assert told(pit) == (2, 3, 3, "Round 2: all 3 agree.")


def test_marks_the_wrong_way_round_are_asked_about(pit):
    pit.event.entries.filter(bib="1").update(seed_mark=412)
    order = [pit.state()["people"][turn["entry"]]["bib"] for turn in pit.state()["queue"][:3]]
    assert order[1:] == ["3", "1"]
    marks = {"1": 488, "3": 402, "2": 485}
    for role in ("recorder", "second"):
        for bib in order:
            jump(pit, bib, 1, marks[bib], role=role)
    asks = ["Bib 3 4.02 and bib 1 4.88: is that the wrong way round?"]
    assert (told(pit), pit.state()["check"]["asks"]) == ((1, 3, 3, "Round 1: all 3 agree."), asks)
    assert pit.state("second")["check"]["asks"] == asks


def test_winds_one_athlete_off_are_asked_about(pit):
    jump(pit, "1", 1, 500)
    jump(pit, "2", 1, None, result="-")
    jump(pit, "3", 1, 512, wind=3)
    pit.send("gauge", "wind_read", {"entry": pit.key("2"), "round": 1, "tenths": 11})
    for bib, values in (("1", 500), ("3", 512)):
        jump(pit, bib, 1, values, role="second")
    jump(pit, "2", 1, None, role="second", result="-")
    asks = pit.state()["check"]["asks"]
    assert asks == ["Round 1: 2 winds for 2 measured trials, and bib 2 did not jump. Do the winds lie one athlete off?"]
