"""The blank field sheet: what is printed, and what a pencil has room for."""

from dataclasses import replace
from itertools import pairwise

import pytest

from meets.sheets.documents import FieldSheet, Flight
from meets.sheets.field_sheet import ROWS_ON_A_PAGE, SPARE_ROWS, field_sheet_pdf
from tests.meets.sheets.made_up import about, flight
from tests.meets.sheets.reading import full_lines_mm, pages, size_mm, words

LOWEST_ROW_MM = 9


def drawn(*flights, paper="A4", **more):
    values = {"later_order": "write the bibs first, in the order read out"} | more
    return field_sheet_pdf(FieldSheet(about(paper), "7", flights, **values))


def rows_mm(content, page):
    """Heights of the rows of a page, from the lines that are drawn: heading, table heading, then one under each row."""
    lines = full_lines_mm(content, page)[1:]
    return [round(above - below, 2) for above, below in pairwise(lines)]


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("athletes", [1, 8, 9, 10, 14, 21, 22, 33])
def test_at_most_twelve_rows_a_page_each_at_least_nine_millimetres(paper, athletes):
    content = drawn(flight(athletes), paper=paper)
    heights = [rows_mm(content, page) for page in range(len(pages(content)))]
    assert max(len(rows) for rows in heights) <= ROWS_ON_A_PAGE == 12
    assert min(min(rows) for rows in heights) >= LOWEST_ROW_MM
    first_block, second_block = heights[:-1], heights[-1]
    assert sum(map(len, first_block)) == athletes + SPARE_ROWS
    assert len(first_block) == -(-(athletes + SPARE_ROWS) // 12)
    assert len(second_block) == 8 + SPARE_ROWS


def test_a_long_heading_takes_rows_from_the_page_rather_than_height_from_the_rows():
    content = field_sheet_pdf(FieldSheet(about(format="trials " * 120, event="Long jump " * 30), "7", (flight(9),)))
    heights = [rows_mm(content, page) for page in range(len(pages(content)))]
    assert min(min(rows) for rows in heights) >= LOWEST_ROW_MM
    assert sum(map(len, heights[:-1])) >= 12


def test_names_of_many_lines_take_more_pages_and_every_page_keeps_its_boxes():
    lines = tuple(replace(line, name="Featherstonehaugh " * 9) for line in flight(9).lines)
    content = drawn(Flight("", lines))
    found = pages(content)
    assert [page.count("tape check") for page in found] == [1] * len(found)
    assert sum(len(rows_mm(content, page)) for page in range(len(found) - 1)) == 12


@pytest.mark.parametrize("athletes", [4, 14, 40])
def test_everybody_is_on_it_with_order_bib_name_school_and_board(athletes):
    text = words(drawn(flight(athletes)))
    for line in flight(athletes).lines:
        who = f"{line.school} · {line.string} · year {line.year_group}"
        assert f"{line.order} {line.bib} {line.name} {who} {line.board}" in text


def test_every_page_stands_alone():
    found = pages(drawn(flight(9, "Flight 1"), flight(20, "Flight 2", first=20)))
    assert len(found) == 4
    for number, page in enumerate(found, 1):
        text = " ".join(page.split())
        for label in (
            "U15 Girls Triple Jump", f"sheet 7-{number}", "start list version 2", "D measured", "tape check",
            "gauge no.", "start of round", "weather", "time of protest", "away with leave", "wind", "referee",
            "take-off judge", "measurer", "recorder", "gauge operator", "Key", "x failed", "- pass", "r retired",
            "NWI no wind information", f"page {number} of 4",
        ):  # fmt: skip
            assert label in text
    assert "Flight 1 · Rounds 1 to 3" in found[0]
    assert "Flight 2 · Rounds 1 to 3" in found[1]
    assert "Rounds 4 to 6 · write the bibs first, in the order read out" in found[3]


def test_first_block_has_three_trials_with_a_wind_box_each_best_and_place():
    text = words(drawn(flight(3)))
    assert "Order Bib Name, school Board Trial 1 Trial 2 Trial 3 Best Place after round 3" in text
    first, second = (" ".join(page.split()) for page in pages(drawn(flight(3))))
    assert first.count("wind ") >= 3 * (3 + SPARE_ROWS)
    assert "Trial 4 Trial 5 Trial 6 Best of all Place" in second
    assert "1 wind wind wind 2 wind wind wind 3" in second


def test_without_later_rounds_all_trials_are_in_one_block():
    found = pages(drawn(flight(6), rounds=(1, 2, 3, 4), later_rounds=()))
    assert len(found) == 1
    assert "Trial 3 Trial 4 Best Place" in " ".join(found[0].split())


@pytest.mark.parametrize(("paper", "size"), [("A4", (297, 210)), ("letter", (279, 216))])
def test_it_is_landscape(paper, size):
    assert size_mm(drawn(flight(3), paper=paper)) == size


def test_the_key_shows_a_mark_of_the_meets_unit():
    assert "5.43 distance" in words(drawn(flight(1)))
    assert "16-04.50 distance" in words(drawn(flight(1), feet=True))


def test_an_event_without_entries_still_gives_spare_rows():
    assert rows_mm(drawn(), 0) != []
