"""The series of an athlete as a small plot: all to one scale, the wind below, and the same in words."""

from meets.board.plot import MARKS_BOTTOM, MARKS_TOP, WIND_LINE, WIND_MOST, plots_of
from meets.board.series import Cell


def cell(mark=None, text="", wind=None, **more):
    shown = text or f"{mark // 100}.{mark % 100:02d}"
    sign = "" if wind is None else f"{wind / 10:+.1f}"
    return Cell(text=shown, says=more.pop("says", shown), mark=mark, wind=sign, wind_tenths=wind, **more)


def dots(plot):
    return [(dot.kind, dot.sign, dot.y) for dot in plot.dots]


def test_all_series_have_one_scale():
    plots = plots_of({"a": [cell(400), cell(600, best=True)], "b": [cell(500, best=True)]})
    middle = (MARKS_TOP + MARKS_BOTTOM) // 2
    assert dots(plots["a"]) == [("mark", "", MARKS_BOTTOM), ("best", "", MARKS_TOP)]
    assert dots(plots["b"]) == [("best", "", middle)]


def test_signs_stand_where_no_mark_is():
    cells = [
        cell(text="x", says="failed"),
        cell(text="-", says="pass"),
        Cell(),
        cell(text="*", says="under protest", held="under protest"),
    ]
    plot = plots_of({"a": cells})["a"]
    assert [(dot.kind, dot.sign) for dot in plot.dots] == [("sign", "x"), ("sign", "-"), ("sign", "*")]
    assert plot.says == "trial 1: failed; trial 2: pass; trial 4: under protest"
    assert plot.path == ""


def test_a_mark_that_does_not_count_is_no_dot():
    plot = plots_of({"a": [cell(500, best=True), cell(510, text="(5.10)", counts=False)]})["a"]
    assert [(dot.kind, dot.sign) for dot in plot.dots] == [("best", ""), ("sign", "·")]


def test_winds_stand_above_or_below_their_line_and_never_leave_it_far():
    plot = plots_of(
        {"a": [cell(500, wind=20), cell(501, wind=-20), cell(502, wind=0), cell(503, wind=170, windy=True)]}
    )["a"]
    bars = [(dot.wind_y, dot.wind_height) for dot in plot.dots]
    half = WIND_MOST // 2
    assert bars == [(WIND_LINE - half, half), (WIND_LINE, half), (WIND_LINE, 0), (WIND_LINE - WIND_MOST, WIND_MOST)]
    assert plot.dots[3].kind == "windy"


def test_who_has_not_jumped_has_no_plot():
    assert plots_of({"a": [Cell(), Cell()]}) == {}
