"""The series of one athlete as a small plot: marks as dots over the rounds, the wind of each as a bar below."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from django.utils.translation import gettext as _

STEP, EDGE = 22, 11
MARKS_TOP, MARKS_BOTTOM = 7, 29
WIND_LINE, WIND_MOST, WIND_MOST_TENTHS = 42, 8, 40


class Shown(Protocol):
    """What a plot needs of a trial."""

    text: str
    says: str
    wind: str
    wind_tenths: int | None
    windy: bool
    best: bool
    counts: bool
    held: str
    mark: int | None


@dataclass(frozen=True, slots=True)
class Dot:
    """One trial. `kind`: mark, windy, best, or sign, which writes `sign` where the dot would be.

    `wind_y` and `wind_height` of its bar: above the line a wind from behind, below it one against; 0 without a reading.
    """

    x: int
    y: int
    kind: str
    sign: str = ""
    wind_y: int = WIND_LINE
    wind_height: int = 0


@dataclass(frozen=True, slots=True)
class Plot:
    width: int
    dots: tuple[Dot, ...]
    path: str
    says: str
    height: int = WIND_LINE + WIND_MOST + 2
    wind_line: int = WIND_LINE


def plots_of(series: Mapping[str, Sequence[Shown]]) -> dict[str, Plot]:
    """A plot for everybody who has jumped, all to one scale, so that they can be compared down the page."""
    marks = [cell.mark for cells in series.values() for cell in cells if cell.mark is not None]
    low, high = min(marks, default=0), max(marks, default=0)
    return {key: _plot(cells, low, high) for key, cells in series.items() if any(cell.text for cell in cells)}


def _plot(cells: Sequence[Shown], low: int, high: int) -> Plot:
    dots = tuple(_dot(n, cell, low, high) for n, cell in enumerate(cells) if cell.text)
    line = " ".join(f"{dot.x},{dot.y}" for dot in dots if dot.kind != "sign")
    return Plot(2 * EDGE + STEP * (len(cells) - 1), dots, line, says(cells))


def _dot(number: int, cell: Shown, low: int, high: int) -> Dot:
    x = EDGE + STEP * number
    wind_y, wind_height = _wind(cell.wind_tenths)
    if cell.mark is None or not cell.counts:
        return Dot(x, MARKS_BOTTOM, "sign", cell.text.strip("()") if cell.mark is None else "·", wind_y, wind_height)
    share = (cell.mark - low) / (high - low) if high > low else 1
    y = round(MARKS_BOTTOM - share * (MARKS_BOTTOM - MARKS_TOP))
    return Dot(x, y, "best" if cell.best else "windy" if cell.windy else "mark", "", wind_y, wind_height)


def _wind(tenths: int | None) -> tuple[int, int]:
    if not tenths:
        return WIND_LINE, 0
    height = max(1, round(min(abs(tenths), WIND_MOST_TENTHS) / WIND_MOST_TENTHS * WIND_MOST))
    return (WIND_LINE - height if tenths > 0 else WIND_LINE), height


def says(cells: Sequence[Shown]) -> str:
    """The series in words, round by round."""
    words = []
    for number, cell in enumerate(cells, 1):
        if cell.text:
            wind = _(", wind %(wind)s") % {"wind": cell.wind} if cell.wind else ""
            words.append(_("trial %(number)d: %(says)s%(wind)s") % {"number": number, "says": cell.says, "wind": wind})
    return "; ".join(words)
