"""Fields of the grid read into cells, by bib, with a sentence for each that cannot be read."""

import pytest

from meets.grid.cells import Cells, field_sheet, from_flat, values_of
from meets.grid.reading import Reader
from meets.running.on_paper import FieldSheet, LaterBlock, SheetTrial
from scoring.marks import Unit

BIBS = {"e7": "7", "e9": "9", "eAA": "AA"}


def read(values, unit=Unit.CM):
    reader = Reader(BIBS.values(), unit)
    return reader.read(values), reader.wrong


def test_a_line_is_known_by_its_bib():
    cells, wrong = read(
        {
            "bib_1_1": "9",
            "t_1_1_1": "543",
            "w_1_1_1": "12",
            "t_1_1_2": "/",
            "w_1_1_2": "-3",
            "bib_1_2": "aa",
            "t_1_2_1": "-",
            "bib_4_1": "AA",
            "t_4_1_4": "5,12",
            "w_4_1_4": "0",
            "typed_by": "R. Corder",
        }
    )
    assert wrong == {}
    assert cells == Cells(
        boxes={"9": {1: ("5.43", "+1.2"), 2: ("x", "-0.3")}, "AA": {1: ("-", ""), 4: ("5.12", "0.0")}},
        lines={1: ["9", "AA"], 4: ["AA"]},
    )


@pytest.mark.parametrize(
    ("typed", "unit", "trial"),
    [
        ("543", Unit.CM, "5.43"),
        ("5m43", Unit.CM, "5.43"),
        ("160450", Unit.QUARTER_INCH, "16-04.50"),
        ("16' 4 1/2\"", Unit.QUARTER_INCH, "16-04.50"),
        ("X", Unit.CM, "x"),
        ("*", Unit.CM, "x"),
        ("x543", Unit.CM, "x/5.43"),
        ("–", Unit.CM, "-"),
        ("R", Unit.CM, "r"),
        ("o", Unit.CM, "o"),
        ("d", Unit.CM, "dns"),
    ],
)
def test_what_may_stand_in_a_box(typed, unit, trial):
    cells, wrong = read({"bib_1_1": "7", "t_1_1_1": typed}, unit)
    assert (cells.boxes, wrong) == ({"7": {1: (trial, "")}}, {})


@pytest.mark.parametrize(
    ("values", "where", "says"),
    [
        ({"bib_1_1": "7", "t_1_1_1": "54"}, "t_1_1_1", "'54' is no distance"),
        ({"bib_1_1": "7", "t_1_1_1": "5.4"}, "t_1_1_1", "two decimals"),
        ({"bib_1_1": "7", "t_1_1_1": "y"}, "t_1_1_1", "'y' is no trial"),
        ({"bib_1_1": "7", "t_1_1_1": "543", "w_1_1_1": "windy"}, "w_1_1_1", "'windy' is no wind reading"),
        ({"bib_1_1": "7", "t_1_1_1": "543", "w_1_1_1": "999"}, "w_1_1_1", "is no wind reading"),
        ({"bib_1_1": "7", "w_1_1_1": "12"}, "t_1_1_1", "without its trial"),
        ({"bib_1_1": "7", "t_1_1_1": "-", "w_1_1_1": "12"}, "w_1_1_1", "Nobody jumped here"),
        ({"bib_1_1": "7", "t_1_1_2": "d"}, "t_1_1_2", "first box of a line"),
        ({"bib_1_1": "", "t_1_1_1": "543"}, "t_1_1_1", "The line has no bib"),
        ({"bib_1_1": "8"}, "bib_1_1", "Bib 8 is not in this event"),
        ({"bib_1_1": "7", "bib_1_2": "7"}, "bib_1_2", "Bib 7 has a line already"),
    ],
)
def test_what_cannot_be_read_is_said_at_its_field(values, where, says):
    _cells, wrong = read(values)
    assert list(wrong) == [where]
    assert says in wrong[where]


def test_cells_are_kept_and_come_back():
    cells, _wrong = read(
        {"bib_1_1": "7", "t_1_1_1": "543", "w_1_1_1": "12", "bib_4_1": "7", "t_4_1_4": "x", "no_order": "1"}
    )
    assert Cells.of(cells.plain()) == cells
    assert from_flat(cells.flat()) == cells
    again, wrong = read({"bib_1_1": "7", **values_of(cells, {(1, 1): "7"}, [1, 4])})
    assert (again, wrong) == (cells, {})


def test_a_spare_line_comes_back_behind_the_printed_ones():
    cells, _wrong = read({"bib_1_1": "7", "bib_1_2": "9", "t_1_2_1": "543"})
    assert values_of(cells, {(1, 1): "7"}, [1, 4]) == {
        "no_gauge": "",
        "no_order": "",
        "bib_1_2": "9",
        "t_1_2_1": "5.43",
        "w_1_2_1": "",
    }


def test_cells_as_a_sheet_for_the_log():
    cells, _wrong = read(
        {
            "bib_1_1": "9",
            "t_1_1_1": "543",
            "w_1_1_1": "12",
            "bib_1_2": "7",
            "t_1_2_1": "d",
            "bib_4_1": "9",
            "t_4_1_4": "x",
            "no_gauge": "1",
        }
    )
    assert field_sheet(cells, {bib: key for key, bib in BIBS.items()}) == FieldSheet(
        order=("e9", "e7"),
        trials=(SheetTrial("e9", 1, "5.43", "+1.2"), SheetTrial("e9", 4, "x", "")),
        did_not_start=("e7",),
        later=(LaterBlock(4, ("e9",)),),
        no_gauge=True,
    )
