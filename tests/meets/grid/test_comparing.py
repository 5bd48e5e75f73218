"""Two typings of one sheet, compared cell by cell and settled by the paper."""

import pytest

from meets.grid.cells import Cells
from meets.grid.comparing import differences, settled
from meets.grid.reading import Reader
from meets.running.refusals import Refusal
from scoring.marks import Unit

FIRST = Cells({"7": {1: ("5.43", "+1.2"), 2: ("x", "")}, "9": {1: ("4.80", "")}}, {1: ["7", "9"], 4: ["9", "7"]})
SECOND = Cells(
    {"7": {1: ("5.34", "+1.2"), 2: ("x", ""), 3: ("-", "")}, "9": {1: ("4.80", "-0.2")}}, {1: ["7", "9"], 4: ["7"]}
)
FOUND = {
    "t|7|1": ("Bib 7, round 1", "5.43", "5.34"),
    "t|7|3": ("Bib 7, round 3", "", "-"),
    "w|9|1": ("Bib 9, round 1: wind", "", "-0.2"),
    "line|4|1": ("From round 4 on, line 1: bib", "9", "7"),
    "line|4|2": ("From round 4 on, line 2: bib", "7", ""),
}
PAPER = {"t|7|1": "543", "w|9|1": "-0.2", "line|4|1": "9", "line|4|2": "7", "t|7|3": "-"}


def reader():
    return Reader(["7", "9"], Unit.CM)


def test_equal_typings_do_not_differ():
    assert differences(FIRST, FIRST) == []


def test_every_cell_that_differs_with_its_place():
    found = [(one.name, (one.where, one.first, one.second)) for one in differences(FIRST, SECOND)]
    assert found == list(FOUND.items())


def test_settled_by_the_paper():
    assert settled(FIRST, SECOND, PAPER, reader()) == Cells(
        {"7": {1: ("5.43", "+1.2"), 2: ("x", ""), 3: ("-", "")}, "9": {1: ("4.80", "-0.2")}},
        {1: ["7", "9"], 4: ["9", "7"]},
    )


def test_an_empty_box_on_the_paper_empties_the_cell():
    cells = settled(FIRST, SECOND, {**PAPER, "t|7|1": "", "line|4|2": ""}, reader())
    assert (cells.boxes["7"], cells.lines[4]) == ({2: ("x", ""), 3: ("-", "")}, ["9"])


@pytest.mark.parametrize(
    ("paper", "says"),
    [
        ({name: text for name, text in PAPER.items() if name != "w|9|1"}, "Bib 9, round 1: wind: say what is on"),
        ({**PAPER, "t|7|1": "54"}, "Bib 7, round 1: '54' is no distance"),
        ({**PAPER, "w|9|1": "?"}, "Bib 9, round 1: wind: '?' is no wind reading"),
        ({**PAPER, "line|4|1": "8"}, "From round 4 on, line 1: bib: Bib 8 is not in this event"),
    ],
)
def test_what_is_not_settled_is_refused(paper, says):
    with pytest.raises(Refusal, match=says.replace("?", r"\?")):
        settled(FIRST, SECOND, paper, reader())


def test_the_tick_boxes_are_compared_too():
    [one] = differences(FIRST, Cells(FIRST.boxes, FIRST.lines, no_gauge=True))
    assert (one.where, one.first, one.second) == ("No wind gauge on this sheet", "", "yes")
    assert settled(FIRST, Cells(FIRST.boxes, FIRST.lines, no_gauge=True), {"no_gauge": "yes"}, reader()).no_gauge
