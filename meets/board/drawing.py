"""The sand from above, to scale along the jump, with everybody's best as a stroke in it: plain values to plain values.

A long jump's runway is to scale with the sand. Boards far from it are drawn nearer, with a break in the runway, so that
the sand keeps its room; the caption says so.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import count, takewhile
from typing import NamedTuple

from django.utils.translation import gettext as _

from meets.entries.values import show_board
from scoring.marks import QUARTERS_IN_A_FOOT, Unit, mark_in_cm

# A drawing's own unit is about a pixel where it is shown; labels keep their size whatever the scale.
LANE, HEAD, FOOT, FEWEST_LANES = 26, 12, 24, 4
LETTER, BIB_PADDING, GAP = 9, 8, 8
BEYOND_CM, NEAR_CM = 100, 400


class Size(NamedTuple):
    """How wide, and how a runway that is not to scale is laid out."""

    width: int
    run_up: int
    board_to_board: int
    board_to_sand: int


WIDE = Size(1270, 40, 76, 110)
NARROW = Size(400, 22, 42, 58)


@dataclass(frozen=True)
class Landed:
    """A best mark to be drawn, in the meet's unit. Without `board_cm` it is the only board that there is."""

    bib: str
    mark: int
    shown: str
    board_cm: int | None = None
    first: bool = False


@dataclass(frozen=True)
class Stroke:
    """A best mark: where it lies, and what is written beside it: the bib in its box, then the mark."""

    x: int
    y: int
    bottom: int
    bib: str
    bib_x: int
    bib_width: int
    bib_middle: int
    mark: str
    mark_x: int
    first: bool


@dataclass(frozen=True)
class Drawing:
    """`boards` is empty where nobody knows the board: then there is sand only. `break_x` 0: the runway is to scale."""

    width: int
    height: int
    lanes_bottom: int
    sand_x: int
    boards: tuple[tuple[int, str], ...]
    break_x: int
    metres: tuple[tuple[int, str], ...]
    strokes: tuple[Stroke, ...]
    line_x: int
    line_words: str
    line_to_the_left: bool

    @property
    def sand_width(self) -> int:
        return self.width - self.sand_x

    @property
    def says(self) -> str:
        """The same in words: the longest first."""
        marks = [_("bib %(bib)s %(mark)s") % {"bib": s.bib, "mark": s.mark} for s in reversed(self.strokes)]
        said = _("From the longest: %(marks)s.") % {"marks": ", ".join(marks)}
        return f"{said} {self.line_words}." if self.line_words else said


class _Landing(NamedTuple):
    """Where a best lies, cm: into the sand if its board is known, else from the board."""

    cm: int
    landed: Landed


def pit_drawing(
    landed: Sequence[Landed],
    *,
    unit: Unit,
    boards_cm: Sequence[int] = (),
    sand_cm: int | None = None,
    line: tuple[int, str] | None = None,
    size: Size = WIDE,
) -> Drawing | None:
    """The landing area with the best of each; None while there is nothing to draw.

    `boards_cm`: the boards in use, none where nobody knows; `line`: a mark to be reached and what to write beside it,
    left out where several boards are in use, as it then lies at several places.
    """
    boards = sorted(boards_cm)
    only = boards[0] if len(boards) == 1 else None
    landings = [
        _Landing(mark_in_cm(one.mark, unit) - (board or 0), one)
        for one in landed
        if (board := one.board_cm if boards and one.board_cm else only) is not None or not boards
    ]
    if boards:
        landings = [one for one in landings if one.cm >= 0 and (sand_cm is None or one.cm <= sand_cm)]
    if not landings:
        return None
    line_at = None if line is None or len(boards) > 1 else (mark_in_cm(line[0], unit) - (only or 0), line[1])
    furthest = max([one.cm for one in landings] + ([line_at[0]] if line_at else []))
    until_cm = furthest + BEYOND_CM if sand_cm is None or not boards else min(sand_cm, furthest + BEYOND_CM)
    from_cm = 0 if boards else max(0, min(one.cm for one in landings) - BEYOND_CM)
    return _drawn(_Ground(boards, from_cm, until_cm, unit, size), landings, line_at)


class _Ground:
    """Runway and sand: where each centimetre lies. Centimetres count from the sand's edge, or from the board."""

    def __init__(self, boards: list[int], from_cm: int, until_cm: int, unit: Unit, size: Size) -> None:
        self.boards, self.unit, self.size = boards, unit, size
        self.from_cm, self.until_cm = from_cm, until_cm
        self.only = boards[0] if len(boards) == 1 else None
        runway = 0
        if boards and boards[-1] > NEAR_CM:
            runway = size.run_up + size.board_to_board * (len(boards) - 1) + size.board_to_sand
        elif boards:
            # The runway takes its true share of the width: board to sand is to sand as it is at the pit.
            share = boards[-1] / (boards[-1] + until_cm)
            runway = size.run_up + round((size.width - size.run_up) * share)
        self.sand_x = runway
        self.scale = (size.width - runway) / max(1, until_cm - from_cm)
        self.broken = bool(boards) and boards[-1] > NEAR_CM
        self.board_lines = tuple((self._board_x(n), show_board(cm, unit)) for n, cm in enumerate(boards))

    def _board_x(self, number: int) -> int:
        if self.broken:
            return self.sand_x - self.size.board_to_sand - self.size.board_to_board * number
        return self.x_of(-self.boards[number])

    def x_of(self, cm: int) -> int:
        return self.sand_x + round((cm - self.from_cm) * self.scale)

    def metres(self) -> tuple[tuple[int, str], ...]:
        """Lines at whole metres, or every other foot: of the mark where one board says what mark that is, else of the
        sand, unnamed."""
        named = self.only is not None or not self.boards
        whole, every, words = (100, 1, "m") if self.unit is Unit.CM else (QUARTERS_IN_A_FOOT, 2, "ft")
        numbers = takewhile(lambda number: self._lies(number * whole) < self.until_cm, count(every, every))
        lying = [(number, self._lies(number * whole)) for number in numbers]
        return tuple((self.x_of(at), f"{number} {words}" if named else "") for number, at in lying if at > self.from_cm)

    def _lies(self, mark: int) -> int:
        """Where a mark from the only board lies, cm."""
        return mark_in_cm(mark, self.unit) - (self.only or 0)


def _drawn(ground: _Ground, landings: list[_Landing], line: tuple[int, str] | None) -> Drawing:
    top = HEAD + (LANE if line else 0)
    strokes, lanes = _strokes(landings, ground.x_of, top, ground.size.width)
    lanes_bottom = top + max(lanes, FEWEST_LANES) * LANE
    line_x = ground.x_of(line[0]) if line else 0
    return Drawing(
        width=ground.size.width,
        height=lanes_bottom + FOOT,
        lanes_bottom=lanes_bottom,
        sand_x=ground.sand_x,
        boards=ground.board_lines,
        break_x=ground.sand_x - ground.size.board_to_sand // 3 if ground.broken else 0,
        metres=ground.metres(),
        strokes=strokes,
        line_x=line_x,
        line_words=line[1] if line else "",
        line_to_the_left=line_x > ground.size.width // 2,
    )


def _strokes(
    landings: list[_Landing], x_of: Callable[[int], int], top: int, width: int
) -> tuple[tuple[Stroke, ...], int]:
    """Each label in the first lane where it covers no other, and the number of lanes.

    A label stands to the right of its stroke, or to the left where it would leave the drawing.
    """
    free_from: list[int] = []
    strokes = []
    for cm, landed in sorted(landings, key=lambda one: (one.cm, one.landed.bib)):
        x = x_of(cm)
        bib_width = len(landed.bib) * LETTER + BIB_PADDING
        mark_width = len(landed.shown) * LETTER
        label = bib_width + GAP // 2 + mark_width
        fits = x + GAP + label <= width
        bib_x = x + GAP if fits else x - GAP - label
        left, right = (x, bib_x + label) if fits else (bib_x, x)
        lane = next((n for n, free in enumerate(free_from) if free <= left), len(free_from))
        free_from[lane : lane + 1] = [right + GAP]
        y = top + lane * LANE
        strokes.append(
            Stroke(
                x, y, y + LANE - 6, landed.bib, bib_x, bib_width, bib_x + bib_width // 2, landed.shown,
                bib_x + bib_width + GAP // 2, landed.first,
            )
        )  # fmt: skip
    return tuple(strokes), len(free_from)
