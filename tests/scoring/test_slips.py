"""Slips of the pen: each row of the officials' table is asked about, and what looks right is not.

Thresholds are common practice (fields of the rule set); the slips are those that recorders know.
"""

import pytest

from scoring.event import replay
from scoring.facts import Drawn, Jumped, Suspended
from scoring.log import Row, Turn
from scoring.marks import Unit
from scoring.rulesets import rule_set
from scoring.slips import questions
from scoring.state import StartLine
from scoring.trials import Result, Trial
from scoring.wind import Wind

LINES = (StartLine("a", "31"), StartLine("b", "17"), StartLine("c", "22"))
THREE = rule_set("three-only")


def state(*marks_of_a, rules=THREE):
    """An event in which 31 has these marks (None: failed), round by round, and the others have jumped as often."""
    facts = [Drawn((("a", "b", "c"),))]
    for round, mark in enumerate(marks_of_a, 1):
        facts.append(Jumped("a", round, Result.MARK if mark else Result.FAIL, mark))
        facts += [Jumped(entry, round, Result.FAIL) for entry in ("b", "c")]
    return replay(LINES, [Row(str(rev), rev, fact) for rev, fact in enumerate(facts, 1)], rules)


def mark(value, wind=None, board_cm=None):
    return Trial(Result.MARK, value, wind, board_cm=board_cm)


def asked(found):
    return [(question.kind, question.guess) for question in found]


@pytest.mark.parametrize(
    ("known", "value", "expected"),
    [
        ((543,), 534, []),  # most swaps lie inside any band: only reading back catches them
        ((543,), 583, []),
        ((543,), 584, [("above", 548)]),
        ((543,), 412, [("below", 512)]),
        ((543,), 423, [("metre", 523)]),
        ((450,), 491, [("above", 419)]),
        ((450,), 594, [("above", None)]),
        ((543,), 643, [("metre", 543)]),
        ((543, 551), 447, [("metre", 547)]),
        ((520, 480), 395, [("metre", 495)]),
        ((520, 480), 421, [("metre", 521)]),
        ((520, 480), 427, [("metre", 527)]),
        ((520, 480), 429, []),
        ((1020,), 1149, [("above", None)]),  # 1.29 m more: no slip of a metre, and far above all the same
        ((460,), 550, [("metre", 450)]),
        ((430, 420), 254, [("below", 354)]),
        ((543,), 54, [("below", None)]),
        ((None,), 900, []),
        ((543,), 345, [("below", 435)]),
    ],
)
def test_marks_far_from_what_is_known(known, value, expected):
    found = questions(state(*known), Turn("a", len(known) + 1), mark(value))
    assert asked(found) == expected


@pytest.mark.parametrize(
    ("best", "value", "expected"),
    [
        (1700, 1630, []),
        (1700, 1571, [("below", 1671)]),
        (1700, 1549, [("below", 1594)]),  # swapped digits explain it
        (1700, 1555, [("below", 1655)]),  # a metre explains it
        (1700, 1351, []),  # ran through, and measured all the same
        (1700, 1134, []),
        (1700, 1133, [("below", None)]),  # a third below the best
    ],
)
def test_a_poor_trial_is_asked_about_where_a_slip_explains_it(best, value, expected):
    assert asked(questions(state(best), Turn("a", 2), mark(value))) == expected


def in_field(own, *others):
    """An event in which 31 has jumped `own` and nine others one mark each of `others`."""
    lines = (*LINES[:1], *(StartLine(f"o{n}", str(n)) for n in range(len(others))))
    facts = [Drawn((tuple(line.entry for line in lines),)), Jumped("a", 1, Result.MARK, own)]
    facts += [Jumped(f"o{n}", 1, Result.MARK, other) for n, other in enumerate(others)]
    return replay(lines, [Row(str(rev), rev, fact) for rev, fact in enumerate(facts, 1)], THREE)


@pytest.mark.parametrize(
    ("others", "value", "seed_mark", "expected"),
    [
        ((540, 552, 561, 538, 549), 561, None, []),
        ((540, 552, 561, 538, 549), 562, None, [("above", 526)]),
        ((540, 552, 561, 538), 561, None, [("above", 516)]),  # four marks do not show what the field jumps
        ((540, 552, 561, 538, 549), 561, 505, [("above", 516)]),  # the seed says what the athlete can do
    ],
)
def test_without_a_seed_the_field_says_what_is_far(others, value, seed_mark, expected):
    found = questions(in_field(492, *others), Turn("a", 2), mark(value), seed_mark=seed_mark)
    assert asked(found) == expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [(897, [("metre", 997)]), (898, []), (1040, []), (1043, [("metre", 943)]), (1099, [("above", None)])],
)
def test_a_usual_trial_lies_a_little_below_the_seed(value, expected):
    """Seed 10.00 m, so usual are 9.70 m: 8.97 would be right a metre farther, 8.98 m is a poor trial."""
    assert asked(questions(state(), Turn("a", 1), mark(value), seed_mark=1000)) == expected


def test_swapped_digits_that_fit_are_offered():
    found = questions(state(543), Turn("a", 2), mark(954))
    assert asked(found) == [("above", None)]
    assert asked(questions(state(560), Turn("a", 2), mark(954))) == [("above", 594)]


def test_a_usual_mark_after_a_poor_one_is_no_slip():
    assert asked(questions(state(481), Turn("a", 2), mark(535))) == [("above", None)]
    assert asked(questions(state(481), Turn("a", 2), mark(535), seed_mark=540)) == []


def test_nobody_jumps_while_the_event_is_suspended():
    stopped = replay(LINES, [Row("1", 1, Drawn((("a", "b"),))), Row("2", 2, Jumped("a", 1, Result.FAIL)),
                             Row("3", 3, Suspended())], THREE)  # fmt: skip
    assert [q.kind for q in questions(stopped, Turn("b", 1), mark(512))] == ["suspended"]
    assert questions(stopped, Turn("b", 1), mark(512), in_call_order=False) == ()


@pytest.mark.parametrize(
    ("result", "expected"),
    [(Result.PASS, ["wind without a jump"]), (Result.RETIRED, ["wind without a jump"]), (Result.FAIL, [])],
)
def test_a_wind_for_a_trial_that_was_not_jumped(result, expected):
    found = questions(state(), Turn("a", 1), Trial(result, wind=Wind(12)))
    assert [question.kind for question in found] == expected


def test_the_seed_stands_in_for_a_first_mark():
    assert asked(questions(state(), Turn("a", 1), mark(643), seed_mark=540)) == [("metre", 543)]
    assert asked(questions(state(), Turn("a", 1), mark(543), seed_mark=540)) == []
    assert asked(questions(state(), Turn("a", 1), mark(643))) == []


@pytest.mark.parametrize(
    ("value", "board_cm", "sand_cm", "expected"),
    [
        (1710, 900, 800, [("cannot be", None)]),
        (1700, 900, 800, []),
        (899, 900, 800, [("cannot be", None)]),
        (900, 900, 800, []),
        (1710, 900, None, []),
        (1710, None, 800, []),
    ],
)
def test_a_mark_lies_in_the_sand(value, board_cm, sand_cm, expected):
    found = questions(state(), Turn("a", 1), mark(value, board_cm=board_cm), sand_cm=sand_cm)
    assert asked(found) == expected


def test_quarter_inches_are_compared_as_centimetres():
    known = state(4 * 12 * 16)
    # 16 ft is 487 cm; 18 ft is 548 cm, 61 cm more.
    assert asked(questions(known, Turn("a", 2), mark(4 * 12 * 18), unit=Unit.QUARTER_INCH)) == [("above", None)]
    assert asked(questions(known, Turn("a", 2), mark(4 * 12 * 17), unit=Unit.QUARTER_INCH)) == []


@pytest.mark.parametrize(
    ("tenths", "last", "expected"),
    [
        (14, [14, 14], ["stale wind"]),
        (14, [12, 14], []),
        (0, [0, 0], []),
        (-14, [14, 11, 12], ["wind sign"]),
        (-5, [14, 11, 12], []),
        (14, [-12, -9, -10], ["wind sign"]),
        (14, [-12, -9], []),
        (-11, [14, 11, 12, 9, 2], []),  # the wind has turned, and the last reading said so
        (-11, [14, 11, 12, 2, 9], ["wind sign"]),
    ],
)
def test_winds_beside_the_last_ones(tenths, last, expected):
    found = questions(state(), Turn("a", 1), mark(500, Wind(tenths)), last_winds=last)
    assert [question.kind for question in found] == expected


def test_the_same_mark_twice_in_a_row():
    assert asked(questions(state(), Turn("a", 1), mark(512), last_mark=512)) == [("same mark", None)]
    assert asked(questions(state(), Turn("a", 1), Trial(Result.FAIL), last_mark=None)) == []


def test_out_of_order_is_asked_at_the_pit_only():
    assert [q.kind for q in questions(state(), Turn("b", 1), mark(512))] == ["out of order"]
    assert questions(state(), Turn("b", 1), mark(512), in_call_order=False) == ()
    open_pit = state(rules=rule_set("open-pit"))
    assert questions(open_pit, Turn("b", 1), mark(512)) == ()


def test_flights_that_jump_apart_are_each_in_order():
    """Two pits hold a flight each, or another age group comes between: flight 1 has still to jump, and flight 2 may."""
    flights = replay(LINES, [Row("1", 1, Drawn((("a",), ("b", "c"))))], THREE)
    assert questions(flights, Turn("b", 1), mark(512)) == ()
    assert [q.kind for q in questions(flights, Turn("c", 1), mark(512))] == ["out of order"]


def test_a_turn_that_nobody_has():
    assert [q.kind for q in questions(state(512), Turn("a", 4), mark(512))] == ["no turn"]
    assert questions(state(512), Turn("a", 1), mark(515), in_call_order=False) == ()
    finished = state(512, 513, 514)
    assert [q.kind for q in questions(finished, Turn("b", 4), Trial(Result.FAIL))] == ["no turn"]
