"""Two records of one event: what each holds alone, and what differs at the end of a round."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.facts import Jumped, WindRead
from scoring.log import Row, Turn, standing
from scoring.records import alone, compare, without_the_lone
from scoring.trials import Result
from tests.build import log
from tests.scoring.any_log import any_log

TWO = "31: 5.43+1.4\n17: x\n[second] 31@1: 5.43+1.4\n"


def differing(text, **more):
    found = compare(standing(log(text)), "second", 1, **more)
    said = [
        (one.turn.entry, one.own and one.own.id, one.other and one.other.id, one.is_wind) for one in found.differences
    ]
    return found.agree, len(found.turns), said


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("31: 5.43\n[second] 31@1: 5.43", (1, 1, [])),
        ("31: 5.43\n[second] 31@1: 5.34", (0, 1, [("31", "r2", "r1", False)])),
        ("31: 5.43\n17: x\n[second] 31@1: 5.43", (1, 2, [("17", None, "r2", False)])),
        ("31: 5.43\n[second] 31@1: 5.43\n[second] 17: x", (1, 2, [("17", "r3", None, False)])),
        ("31: 5.43+1.4\n[second] 31@1: 5.43+1.5", (0, 1, [("31", "r4", "r2", True)])),
        ("31: 5.43+1.4\n[second] 31@1: 5.43", (1, 1, [])),  # this second recorder takes no winds
        # the referee has settled it, then puts it right once more
        ("31: 5.43\n[second] 31@1: 5.34\n[referee] 31@1: 5.43 ~ r1 r2 # heard both", (1, 1, [])),
        ("31: 5.43\n[second] 31@1: 5.34\n[ref] 31@1: 5.43 ~ r1 r2 # a\n[ref] 31@1: 5.44 ~ r3 # b", (1, 1, [])),
        ("31: 5.43\n[second] 31@1: 5.43 ~ r9 # no such row", (1, 1, [])),
        # put right in the first record only
        ("31: 5.34\n31@1: 5.43 ~ r1 # misheard\n[second] 31@1: 5.43", (1, 1, [])),
        # taken back in the first record: there it is open again
        ("31: 5.43\nvoided 31 1 ~ r1 # wrong bib\n[second] 31@1: 5.43", (0, 1, [("31", "r3", None, False)])),
        ("31: 5.43\n31@2: 5.50\n[second] 31@2: 5.51", (0, 1, [("31", None, "r1", False)])),
    ],
)
def test_a_round_in_two_records(text, expected):
    assert differing(text) == expected


def test_blanks_are_differences_of_one_side():
    found = compare(standing(log("31: 5.43\n17: 5.01\n[second] 31@1: 5.34")), "second", 1)
    assert [one.turn.entry for one in found.blanks] == ["17"]
    assert [one.turn.entry for one in found.differences] == ["31", "17"]


def test_one_flight_at_a_time():
    assert differing("31: 5.43\n17: x\n[second] 31@1: 5.43", among=("31",)) == (1, 1, [])


def ids(rows):
    return [row.id for row in rows]


def test_a_record_alone_keeps_everything_else():
    rows = log("drawn 31,17\n31: 5.43+1.4\nleft 17\n[second] 31@1: 5.34\nreplaced 17 1")
    assert ids(alone(rows, "second")) == ["r1", "r4", "r5", "r6"]


def test_a_trial_replaced_by_somebody_else_is_in_both_records():
    rows = log("31: 5.43\n[second] 31@1: 5.34\n[referee] 31@1: 5.43 ~ r1 r2 # heard\n[referee] 31@1: 5.42 ~ r3 # again")
    assert ids(alone(rows, "second")) == ["r2", "r3", "r4"]


def test_a_trial_that_names_a_wind_of_the_record_is_not_let_in():
    rows = [
        Row("w", 1, WindRead("31", 1, 14), recorder="second"),
        Row("m", 2, Jumped("31", 1, Result.MARK, 543), ("w",), "pit", reason="no such correction"),
    ]
    assert ids(alone(rows, "second")) == ["w"]


def test_trials_of_one_record_alone_are_still_open_in_the_other():
    rows = log("[second] 31: 5.43+1.4\n[second] 17: 5.01\n17@1: 5.02\n")
    assert ids(without_the_lone(rows, "second")) == ["r2", "r3", "r4"]
    assert without_the_lone(log(TWO), "second") == log(TWO)


@given(any_log())
def test_alone_is_stable(rows):
    once = alone(rows, "paper")
    assert alone(once, "paper") == once
    foreign = [row for row in once if isinstance(row.fact, Jumped | WindRead) and row.recorder != "paper"]
    assert all(row.supersedes for row in foreign)


@given(any_log(), st.integers(1, 6))
def test_every_turn_of_a_round_agrees_or_differs_once(rows, round):
    found = compare(standing(rows), "paper", round)
    turns = [one.turn for one in found.differences]
    assert len(set(turns)) == len(turns)
    assert {*turns} <= {*found.turns}
    assert found.agree + len(turns) == len(found.turns)
    assert all(isinstance(turn, Turn) for turn in found.turns)
