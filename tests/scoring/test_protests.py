"""Protests: one that two records write, a name used again, decisions that come in before what they decide."""

from itertools import permutations

import pytest

from scoring.event import replay
from scoring.facts import ProtestDecided, ProtestLodged
from scoring.log import Row, standing
from scoring.protests import about_what_stands, protests_of
from scoring.rulesets import rule_set
from tests.build import log, start_lines

DRAWN = "drawn 31,17\n31: x/5.43\n[second] 31@1: x/5.43\n"
ONE = "protest_lodged p1 31 1 # oral"
AGAIN = "[second] protest_lodged p1 31 1 # oral"
OTHER = "[second] protest_lodged p1 31 1 # rake in the sand"
NO = "protest_decided p1 no # heel"
YES = "protest_decided p1 yes # seen"


def after(*lines):
    return replay(start_lines("31 17"), log(DRAWN + "\n".join(lines)), rule_set("three-only"))


CASES = [
    # What is written; reason and decision of every protest, the best that counts.
    ([ONE, AGAIN], [("oral", None)], None),
    ([ONE, OTHER], [("oral; rake in the sand", None)], None),
    ([ONE, AGAIN, YES], [("oral", True)], 543),
    ([ONE, OTHER, NO], [("oral; rake in the sand", False)], None),
    # The second record comes in after the decision and says the same: nothing is open again.
    ([ONE, YES, AGAIN], [("oral", True)], 543),
    ([ONE, NO, AGAIN], [("oral", False)], None),
    # Another reason was not heard before that decision.
    ([ONE, NO, OTHER], [("oral", False), ("rake in the sand", None)], None),
    # The same record lodges again after a decision: a protest of its own, and decided for itself.
    ([ONE, NO, ONE], [("oral", False), ("oral", None)], None),
    ([ONE, NO, ONE, YES], [("oral", False), ("oral", True)], 543),
    # A decision that is delivered before what it decides.
    ([NO, ONE], [("oral", False)], None),
    ([YES, AGAIN, ONE], [("oral", True)], 543),
    # About the event or about other turns, a name alone makes no two protests one.
    (
        ["protest_lodged p1 # late start", "[second] protest_lodged p1 # rain"],
        [("late start", None), ("rain", None)],
        None,
    ),
    ([ONE, "[second] protest_lodged p1 17 1 # oral"], [("oral", None), ("oral", None)], None),
]


@pytest.mark.parametrize(("lines", "protests", "best"), CASES)
def test_what_is_written_and_what_stands(lines, protests, best):
    state = after(*lines)
    assert [(one.reason, one.upheld) for one in state.protests] == protests
    assert state.entry("31").best == best


def test_one_protest_that_two_records_write_is_one_alarm_while_it_is_open():
    keys = [alarm.key for alarm in after(ONE, AGAIN).alarms if alarm.key.startswith("protest")]
    assert keys == ["protest p1"]


def test_two_records_and_a_decision_are_one_state_in_every_order():
    lines = [
        Row("a", 0, ProtestLodged("p1", "31", 1), recorder="pit", by="Ada", reason="oral"),
        Row("b", 0, ProtestLodged("p1", "31", 1), recorder="second recorder", by="Ben", reason="oral"),
        Row("c", 0, ProtestDecided("p1", True), recorder="referee", reason="seen"),
    ]
    found = set()
    for order in permutations(lines):
        rows = [Row(r.id, rev, r.fact, (), r.recorder, r.by, r.reason) for rev, r in enumerate(order, 1)]
        found.add(protests_of(standing(rows)))
    ((protest,),) = found
    assert (protest.by, protest.reason, protest.upheld, protest.decision) == ("Ada", "oral", True, "seen")


def test_after_the_trial_was_voided_the_second_record_tells_of_the_next_one():
    state = after(ONE, YES, "voided 31 1 ~ r2 r3 # somebody else", "31@1: x/5.90", AGAIN)
    assert [(one.reason, one.upheld) for one in state.protests] == [("oral", True), ("oral", None)]
    assert (state.entry("31").best, state.entry("31").turns[0].held) == (None, True)


def test_a_decision_put_right_stays_with_the_protest_it_was_about():
    state = after(ONE, NO, ONE, "protest_decided p1 yes ~ r5 # film")
    assert [one.upheld for one in state.protests] == [True, None]


def test_a_protest_about_a_voided_trial_alone_is_about_nothing_that_stands():
    rows = log(f"{DRAWN}{ONE}\nvoided 31 1 ~ r2 r3 # somebody else")
    assert (len(protests_of(standing(rows))), about_what_stands(standing(rows))) == (1, ())
