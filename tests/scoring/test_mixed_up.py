"""What looks wrong at the end of a round: marks of two neighbours, winds one athlete off, boards nobody measured."""

import pytest

from scoring.event import replay
from scoring.log import Turn, standing
from scoring.marks import Unit
from scoring.mixed_up import Swap, swapped_neighbours, unmeasured_boards, winds_off
from scoring.rulesets import rule_set
from tests.build import log, start_lines

RULES = rule_set("three-only")
A, B, C = Turn("31", 1), Turn("17", 1), Turn("22", 1)
LINES = start_lines("31 17 22")


def state_of(text, rules=RULES, unit=Unit.CM):
    return replay(LINES, log(text, unit), rules, unit=unit)


@pytest.mark.parametrize(
    ("text", "seeds", "expected"),
    [
        ("31: 4.02\n17: 4.88", {"31": 500, "17": 410}, [Swap(A, B)]),
        ("31: 4.88\n17: 4.02", {"31": 500, "17": 410}, []),
        ("31: 4.02\n17: 4.88", {"31": 500, "17": None}, []),  # of 17 nothing is known
        ("31: 4.02\n17: 4.88", {"31": 500}, []),
        ("31: 4.72\n17: 4.88", {"31": 500, "17": 480}, []),  # too near to each other to tell
        ("31: 4.02\n17: x", {"31": 500, "17": 410}, []),
        ("31: 4.02\n22: 4.60\n17: 4.88", {"31": 500, "17": 410, "22": 470}, []),  # no neighbours
        ("31: 4.02\n17: 4.30", {"31": 500, "17": 410}, []),  # one had a bad day, the other a good one
    ],
)
def test_two_neighbours(text, seeds, expected):
    state = state_of(text)
    turns = [turn for turn in (A, C, B) if any(one.turn == turn for one in state.entry(turn.entry).turns)]
    assert list(swapped_neighbours(state, turns, seeds)) == expected


def test_own_marks_of_other_rounds_say_what_is_usual():
    state = state_of("31: 4.98 4.02\n17: 3.96 4.88")
    second = [Turn("31", 2), Turn("17", 2)]
    assert swapped_neighbours(state, second, {}) == (Swap(*second),)


def test_whoever_is_in_one_swap_is_in_no_other():
    state = state_of("31: 4.02\n17: 4.88\n22: 4.02")
    seeds = {"31": 500, "17": 410, "22": 500}
    assert swapped_neighbours(state, [A, B, C], seeds) == (Swap(A, B),)


def test_quarter_inches_are_compared_as_centimetres():
    state = state_of("31: 13-02\n17: 16-00", unit=Unit.QUARTER_INCH)
    seeds = {"31": 48 * 16, "17": 48 * 13}
    assert swapped_neighbours(state, [A, B], seeds, Unit.QUARTER_INCH) == (Swap(A, B),)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("31: 5.43+1.4\n17: 5.01+0.2\n22: -", None),
        ("31: 5.43+1.4\n17: 5.01\n22: -", None),  # a wind is owed, and none lies anywhere else
        ("31: 5.43\n17: 5.01+0.2\n22: -\nwind_read 22 1 14", ((C,), (A,), 2, 2)),
        ("31: 5.43\n17: 5.01+0.2\nwind_read 22 1 14", ((C,), (A,), 2, 2)),  # 22 has not jumped yet
        ("31: 5.43\n17: 5.01+0.2\n22: x\nwind_read 22 1 14", None),  # 22 jumped and failed
        ("31: 5.43\n22: -\nwind_read 22 1 None", None),  # no reading
    ],
)
def test_winds_one_athlete_off(text, expected):
    rows = log(text)
    off = winds_off(state_of(text), standing(rows), (A, B, C))
    assert (off and (off.without_jump, off.without_wind, off.winds, off.measured)) == expected


MEASURED = "drawn 31,17,22\nboard_checked 900 901\n"
ROUND_1 = "31: 5.43\n17: 5.01\n22: x\n"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("drawn 31,17,22\n", (900,)),
        (MEASURED, ()),
        ("drawn 31,17,22\nboard_checked 900 903\n", (900,)),  # more than 2 cm off
        (MEASURED + "31: 5.43\n", ()),
        (MEASURED + ROUND_1, (900,)),
        (MEASURED + ROUND_1 + "board_checked 900 900\n", ()),
        (MEASURED + ROUND_1 + "31: 5.40\n", (900,)),
        (MEASURED + ROUND_1 + "31: 5.40\nboard_checked 900 900\n", ()),  # late, and better than never
        (MEASURED + ROUND_1 + "board_checked 900 900\n31: 5.40\n17: 5.10\n", ()),
        (MEASURED + ROUND_1 + "31@1: 5.44 ~ r3 # misheard\nboard_checked 900 900\n", ()),
        # put right later: that is no trial of the round before
        (MEASURED + ROUND_1 + "board_checked 900 900\n31@1: 5.44 ~ r3 # misheard\n", ()),
    ],
)
def test_boards_are_measured_before_each_round(text, expected):
    assert unmeasured_boards(standing(log(text)), state_of(text), (900,), ("31", "17", "22")) == expected


def test_each_flight_has_rounds_of_its_own():
    text = "drawn 31/17,22\nboard_checked 900 900\n31: 5.43 5.44 5.45\n"
    rows, state = standing(log(text)), state_of(text)
    assert unmeasured_boards(rows, state, (900,), ("31", "17", "22")) == (900,)
    # A flight at another pit does not make this one measure again.
    assert unmeasured_boards(rows, state, (900,), ("17", "22")) == ()


def test_nobody_left_to_jump():
    text = MEASURED + "31: r\n17: r\n22: r\n"
    assert unmeasured_boards(standing(log(text)), state_of(text), (900,), ("31", "17", "22")) == ()
