import typing

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.errors import NotARow
from scoring.facts import (
    KINDS,
    Closed,
    CutTaken,
    Drawn,
    Fact,
    Jumped,
    NoGauge,
    WindRead,
    from_plain,
    kind_of,
    to_plain,
)
from scoring.trials import FailReason, Result
from tests.scoring.any_log import any_fact


def test_the_names_of_the_kinds_only_grow():
    """They are stored: a name that is taken away makes old logs unreadable."""
    assert set(KINDS) >= {
        "drawn", "checked_in", "did_not_start", "joined", "left", "returned", "withdrew", "added", "confirmed",
        "board_set", "jumped", "replaced", "voided", "wind_read", "no_gauge", "trials_confirmed", "cut_taken",
        "order_called", "called_in", "disregarded", "alarm_settled", "flights_merged", "flight_moved", "suspended",
        "resumed", "abandoned", "shortened", "rule_changed", "card", "disqualified", "protest_lodged",
        "protest_decided", "appeal_lodged", "appeal_decided", "board_checked", "readiness_signed", "handed_over",
        "closed",
    }  # fmt: skip
    assert set(KINDS.values()) == set(typing.get_args(Fact))


@pytest.mark.parametrize(
    ("fact", "kind", "plain"),
    [
        (Closed(), "closed", {}),
        (Jumped("31", 2, Result.MARK, 543), "jumped", {"entry": "31", "round": 2, "result": "mark", "mark": 543}),
        (
            Jumped("31", 2, Result.FAIL, reason=FailReason.LINE, board_cm=200),
            "jumped",
            {"entry": "31", "round": 2, "result": "x", "reason": "line", "board_cm": 200},
        ),
        (
            Drawn((("a", "b"), ("c",)), seed=7), "drawn",
            {"flights": [["a", "b"], ["c"]], "seed": 7},
        ),
        (
            CutTaken(3, ("a",), ("a", "b")), "cut_taken",
            {"after_round": 3, "going_on": ["a"], "proposed": ["a", "b"]},
        ),
        (WindRead("31", 1, None), "wind_read", {"entry": "31", "round": 1, "tenths": None}),
        (WindRead("31", 1, 0, 1), "wind_read", {"entry": "31", "round": 1, "tenths": 0, "replacement": 1}),
        (NoGauge(until=True), "no_gauge", {"until": True}),
    ],
)  # fmt: skip
def test_the_plain_form(fact, kind, plain):
    assert (kind_of(fact), to_plain(fact)) == (kind, plain)
    assert from_plain(kind, plain) == fact


@given(st.sampled_from(sorted(KINDS)).flatmap(any_fact))
def test_every_fact_reads_back_from_its_plain_form(fact):
    assert from_plain(kind_of(fact), to_plain(fact)) == fact


@pytest.mark.parametrize(
    ("kind", "plain", "says"),
    [
        ("jump", {}, f"kind: 'jump' cannot stand in the log; expected one of {', '.join(KINDS)}"),
        (
            "checked_in", {"bib": "4", "entry": "31"},
            "checked_in: 'bib' cannot stand in the log; expected one of entry",
        ),
        ("closed", {"entry": "31"}, "closed: 'entry' cannot stand in the log; expected one of "),
        ("checked_in", {}, "checked_in: {} cannot stand in the log; expected every value of the kind"),
        ("checked_in", {"entry": 31}, "checked_in.entry: 31 cannot stand in the log; expected str"),
        ("joined", {"entry": "31", "round": "2"}, "joined.round: '2' cannot stand in the log; expected int"),
        ("joined", {"entry": "31", "round": True}, "joined.round: True cannot stand in the log; expected int"),
        (
            "jumped", {"entry": "31", "round": 1, "result": "foul"},
            "jumped.result: 'foul' cannot stand in the log; expected 'mark', 'x', '-', 'r', 'o'",
        ),
        (
            "jumped", {"entry": "31", "round": 1, "result": "mark", "mark": 5.43},
            "jumped.mark: 5.43 cannot stand in the log; expected int",
        ),
        ("drawn", {"flights": "abc"}, "drawn.flights: 'abc' cannot stand in the log; expected a list"),
        ("drawn", {"flights": ["abc"]}, "drawn.flights: 'abc' cannot stand in the log; expected a list"),
        ("drawn", {"flights": [[1]]}, "drawn.flights: 1 cannot stand in the log; expected str"),
    ],
)  # fmt: skip
def test_a_row_that_cannot_be(kind, plain, says):
    with pytest.raises(NotARow) as refused:
        from_plain(kind, plain)
    assert str(refused.value) == says


def test_a_wind_may_be_declared_without_a_reading():
    assert from_plain("wind_read", {"entry": "31", "round": 1, "tenths": None}) == WindRead("31", 1, None)
