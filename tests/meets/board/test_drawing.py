"""The drawing from plain values: to scale, nothing over another, nothing outside, the same in words."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from meets.board.drawing import LANE, LETTER, NARROW, WIDE, Landed, pit_drawing
from scoring.marks import Unit, show_mark


def landed(*marks, board_cm=None):
    return [Landed(str(n), mark, show_mark(mark), board_cm, n == 1) for n, mark in enumerate(marks, 1)]


def test_board_and_sand_of_a_long_jump_are_to_one_scale():
    drawing = pit_drawing(landed(512, 430), unit=Unit.CM, boards_cm=[200])
    x = {stroke.bib: stroke.x for stroke in drawing.strokes}
    board = drawing.boards[0][0]
    per_cm = (x["1"] - board) / 512
    assert (x["2"] - board) / 430 == pytest.approx(per_cm, abs=0.01)
    assert (drawing.sand_x - board) / 200 == pytest.approx(per_cm, abs=0.02)
    assert (drawing.break_x, [label for _x, label in drawing.boards]) == (0, ["2 m"])


def test_a_runway_of_a_triple_jump_is_broken_and_the_sand_is_to_scale():
    field = [*landed(1010, board_cm=900), Landed("2", 850, "8.50", 700)]
    drawing = pit_drawing(field, unit=Unit.CM, boards_cm=[900, 700], sand_cm=800)
    assert ([label for _x, label in drawing.boards], drawing.break_x > 0) == (["7 m", "9 m"], True)
    x = {stroke.bib: stroke.x - drawing.sand_x for stroke in drawing.strokes}
    assert x["1"] / 110 == pytest.approx(x["2"] / 150, abs=0.05)


def test_the_line_to_be_reached_lies_where_its_mark_does():
    drawing = pit_drawing(landed(512, 430), unit=Unit.CM, boards_cm=[200], line=(430, "best 2: 4.30"))
    assert (drawing.line_x, drawing.line_words) == (next(s.x for s in drawing.strokes if s.bib == "2"), "best 2: 4.30")
    assert drawing.says == "From the longest: bib 1 5.12, bib 2 4.30. best 2: 4.30."


def test_with_several_boards_there_is_no_one_line():
    drawing = pit_drawing(landed(1010, board_cm=900), unit=Unit.CM, boards_cm=[900, 700], line=(850, "best 2: 8.50"))
    assert (drawing.line_words, drawing.line_x) == ("", 0)


def test_what_cannot_be_in_the_sand_is_not_drawn():
    drawing = pit_drawing(landed(512, 150, 1090), unit=Unit.CM, boards_cm=[200], sand_cm=800)
    assert [stroke.bib for stroke in drawing.strokes] == ["1"]


@pytest.mark.parametrize("field", [[], landed(150)], ids=["nobody", "only what cannot be"])
def test_without_a_mark_in_the_sand_there_is_no_drawing(field):
    assert pit_drawing(field, unit=Unit.CM, boards_cm=[200]) is None


def test_of_several_boards_a_jump_from_none_of_them_known_is_left_out():
    field = [*landed(1010, board_cm=900), Landed("2", 850, "8.50")]
    assert [s.bib for s in pit_drawing(field, unit=Unit.CM, boards_cm=[900, 700]).strokes] == ["1"]


def test_marks_in_quarter_inches_lie_at_their_length():
    drawing = pit_drawing([Landed("1", 786, "16-04.50")], unit=Unit.QUARTER_INCH, boards_cm=[200])
    metric = pit_drawing(landed(499), unit=Unit.CM, boards_cm=[200])
    assert drawing.strokes[0].x == metric.strokes[0].x


def test_lines_stand_at_whole_metres_of_the_mark_or_every_other_foot():
    metric = pit_drawing(landed(512), unit=Unit.CM, boards_cm=[200])
    assert [words for _x, words in metric.metres] == ["3 m", "4 m", "5 m", "6 m"]
    feet = pit_drawing([Landed("1", 786, "16-04.50")], unit=Unit.QUARTER_INCH, boards_cm=[200])
    assert [words for _x, words in feet.metres] == ["8 ft", "10 ft", "12 ft", "14 ft", "16 ft", "18 ft"]
    assert feet.metres[4][0] < feet.strokes[0].x < feet.metres[5][0]


def extent(stroke):
    right = stroke.mark_x + len(stroke.mark) * LETTER
    return min(stroke.x, stroke.bib_x), max(stroke.x, right)


@given(
    st.lists(st.tuples(st.integers(210, 990), st.sampled_from(["7", "12", "104", "AA"])), min_size=1, max_size=40),
    st.sampled_from([WIDE, NARROW]),
    st.sampled_from([[], [200], [700, 900]]),
    st.booleans(),
)
def test_labels_cover_no_other_and_leave_the_drawing_nowhere(field, size, boards, with_line):
    marks = [Landed(bib, mark + 700 * (len(boards) > 1), show_mark(mark), boards[-1] if boards else None)
             for mark, bib in field]  # fmt: skip
    line = (marks[0].mark, "best 8: 5.04") if with_line else None
    drawing = pit_drawing(marks, unit=Unit.CM, boards_cm=boards, line=line, size=size)
    lanes = {}
    for stroke in drawing.strokes:
        lanes.setdefault(stroke.y, []).append(extent(stroke))
    for lane in lanes.values():
        assert all(left[1] <= right[0] for left, right in pairwise(sorted(lane)))
    for stroke in drawing.strokes:
        left, right = extent(stroke)
        assert left >= 0
        assert right <= drawing.width
        assert stroke.bottom <= drawing.lanes_bottom <= drawing.height
    assert len({y % LANE for y in lanes}) == 1
    assert len(drawing.strokes) == len(field)
