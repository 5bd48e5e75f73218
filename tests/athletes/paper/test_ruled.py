"""The table for paper: what it draws lies inside its columns and does not overlap."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.lib.units import mm

from athletes.paper.fonts import width_at_one
from athletes.paper.ruled import Column, Divider, Ruled

COLUMNS = [
    Column("Bib", 12 * mm, "right", size=12, strong=True),
    Column("Name", 40 * mm, size=10),
    Column("Trial 1", 13 * mm, "mark"),
    Column("String", 14 * mm, "centre"),
]


def boxes_of(table):
    """For every row, the boxes of its pieces of text: left, right, top and foot, from the upper left corner."""
    for row in table._rows:
        yield (
            row.height,
            [
                (x, x + width_at_one(text.rstrip(), font) * size, down - size * 0.72, down + size * 0.2)
                for x, down, font, size, text in row.pieces
            ],
        )


@given(
    st.text(max_size=70),
    st.text(max_size=40),
    st.sampled_from(["5.43", "12.43w", "16-11.75w", "(16-11.75w)", "x", "-", ""]),
    st.booleans(),
)
def test_text_stays_in_its_row_and_column_and_lines_do_not_overlap(name, school, mark, boxed):
    table = Ruled(COLUMNS, [("AAAA", (name, school), (mark, "+12.4"), "guest")], row_height=7 * mm, boxed=boxed)
    edges = [0]
    for column in COLUMNS:
        edges.append(edges[-1] + column.width)
    for height, boxes in boxes_of(table):
        for left, right, top, foot in boxes:
            column = sum(edge <= left + 0.01 for edge in edges)
            assert right <= edges[column] + 0.01
            assert top >= 0
            assert foot <= height
        for one in boxes:
            for other in boxes:
                if one is not other and one[0] < other[1] and other[0] < one[1]:
                    assert one[3] <= other[2] + 1.5 or other[3] <= one[2] + 1.5


def test_marks_stand_on_the_point_whatever_hangs_behind_them():
    table = Ruled([COLUMNS[2]], [("5.43",), ("4.98w",), ("(5.12)",)])
    ends = set()
    for row in table._rows:
        x, _down, font, size, text = row.pieces[0]
        upto = text.rstrip("w)")
        ends.add(round(x + width_at_one(upto, font) * size, 3))
    assert len(ends) == 1


def test_a_mark_is_never_set_in_two_lines():
    table = Ruled([Column("T", 9 * mm, "mark")], [("(16-11.75w)",)])
    assert [piece[4] for piece in table._rows[0].pieces] == ["(16-11.75w)"]


def test_what_must_stay_whole_gets_smaller_and_is_not_broken():
    for whole, lines in ((True, 1), (False, 3)):
        table = Ruled([Column("Bib", 12 * mm, "centre", size=16, strong=True, whole=whole)], [("AA123456",)])
        assert len(table._rows[0].pieces) == lines


def test_rows_are_as_high_as_asked_or_higher():
    table = Ruled(COLUMNS, [("7", "Amy", "", ""), ("8", ("Amy " * 40, "School"), "", "")], row_height=9 * mm)
    assert table.row_heights[0] == pytest.approx(9 * mm)
    assert table.row_heights[1] > 9 * mm


def test_a_split_table_repeats_its_heading_and_loses_no_row():
    rows = [(str(n), f"Name {n}", "", "") for n in range(20)]
    table = Ruled(COLUMNS, rows, row_height=8 * mm, title="Flight 2")
    first, second = table.split(table.width, 100 * mm)
    assert (first.title, second.title) == ("Flight 2", "Flight 2, continued")
    assert len(first.row_heights) + len(second.row_heights) == 20
    assert first.wrap(0, 0)[1] <= 100 * mm
    assert [piece[4] for piece in second._heading.pieces][:2] == ["Flight 2, continued", "Bib"]


def test_a_divider_is_not_left_alone_at_the_foot_of_a_page():
    table = Ruled(COLUMNS, [("1", "A", "", ""), Divider("Cut after round 3", thick=True), ("2", "B", "", "")])
    heading, row, cut = table._heading.height, table._rows[0].height, table._rows[1].height
    first, second = table.split(table.width, heading + row + cut + 1)
    assert len(first._rows) == 1
    assert second._rows[0].divider == Divider("Cut after round 3", thick=True)


def test_a_table_without_room_for_a_row_moves_as_a_whole():
    assert Ruled(COLUMNS, [("1", "A", "", "")]).split(500, 5 * mm) == []


def test_stretching_shares_room_out_up_to_the_highest_row():
    table = Ruled(COLUMNS, [("1", "A", "", "")] * 4)
    low = table.row_heights[0]
    table.stretch(8 * mm, 100 * mm)
    assert table.row_heights == pytest.approx([low + 2 * mm] * 4)
    table.stretch(1000, low + 3 * mm)
    assert table.row_heights == pytest.approx([low + 3 * mm] * 4)
