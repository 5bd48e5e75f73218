"""The sand from above, to scale along the jump, with everybody's best as a stroke in it.

The runway between board and sand is drawn shortened, with a break, so that the sand fills the width.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from meets.entries.values import show_board
from meets.models import Event, Pit
from scoring.marks import Unit, mark_in_cm
from scoring.places import Placed
from scoring.state import EntryState, EventState

# The drawing's own unit is about a pixel on a laptop; labels keep their size whatever the scale.
WIDTH = 1270
LANE, TOP, FEWEST_LANES = 26, 14, 5
LETTER, BIB_PADDING, GAP = 9, 8, 8
RUN_UP, BOARD_TO_BOARD, BOARD_TO_SAND = 40, 76, 110
BEYOND_CM = 100


@dataclass(frozen=True)
class Stroke:
    """A best mark: where it lies, and what is written beside it: the bib in its box, then the mark."""

    x: int
    y: int
    bottom: int
    bib: str
    bib_width: int
    bib_middle: int
    mark: str
    mark_x: int
    first: bool


@dataclass(frozen=True)
class Drawing:
    """`boards` and `break_x` are empty where nobody knows the board: then there is sand only."""

    width: int
    height: int
    sand_x: int
    boards: tuple[tuple[int, str], ...]
    break_x: int
    metres: tuple[tuple[int, str], ...]
    strokes: tuple[Stroke, ...]

    @property
    def sand_width(self) -> int:
        return self.width - self.sand_x


class Landing(NamedTuple):
    """Where a best lies, cm: into the sand if its board is known, else from the board."""

    cm: int
    bib: str
    mark: str
    first: bool


def drawing_of(
    event: Event, state: EventState, pit: Pit | None, lines: Sequence[tuple[Placed, str, str]], unit: Unit
) -> Drawing | None:
    """None while nobody has a mark. `lines`: placed, bib, mark as text."""
    boards = _boards_used(event, state)
    entries = {entry.line.entry: entry for entry in state.entries}
    landings = []
    for placed, bib, shown in lines:
        if placed.best is None:
            continue
        board = _board_of(entries[placed.entry], boards) if boards else 0
        if board is not None:
            landings.append(Landing(mark_in_cm(placed.best, unit) - board, bib, shown, placed.place == 1))
    if not landings:
        return None
    if not boards:
        return _drawn(landings, [], max(0, min(landing.cm for landing in landings) - BEYOND_CM), 0)
    sand_cm = pit.sand_cm if pit else None
    inside = [landing for landing in landings if landing.cm >= 0 and (sand_cm is None or landing.cm <= sand_cm)]
    if not inside:
        return None
    shown = [show_board(board, unit) for board in boards]
    return _drawn(inside, shown, 0, boards[0] if len(boards) == 1 else None, sand_cm)


def _board_of(entry: EntryState, boards: list[int]) -> int | None:
    trial = entry.series.best_trial
    known = (trial and trial.board_cm) or entry.board_cm
    return known or (boards[0] if len(boards) == 1 else None)


def _drawn(
    landings: list[Landing], boards: list[str], from_cm: int, mark_at_edge: int | None, sand_cm: int | None = None
) -> Drawing:
    """Scaled so that the sand from `from_cm` to a little behind the longest jump fills what the runway leaves.

    Lines at whole metres: of the mark where `mark_at_edge` says what mark the edge would be, else of the sand.
    """
    until_cm = max(landing.cm for landing in landings) + BEYOND_CM
    until_cm = until_cm if sand_cm is None else min(sand_cm, until_cm)
    sand_x = RUN_UP + BOARD_TO_BOARD * (len(boards) - 1) + BOARD_TO_SAND if boards else 0
    scale = (WIDTH - sand_x) / (until_cm - from_cm)

    def x_of(cm: int) -> int:
        return sand_x + round((cm - from_cm) * scale)

    offset = mark_at_edge or 0
    first_metre = (from_cm + offset) // 100 + 1
    metres = [(x_of(metre * 100 - offset), metre) for metre in range(first_metre, (until_cm + offset - 1) // 100 + 1)]
    strokes, lanes = _strokes(landings, x_of)
    return Drawing(
        width=WIDTH,
        height=2 * TOP + max(lanes, FEWEST_LANES) * LANE,
        sand_x=sand_x,
        boards=tuple((sand_x - BOARD_TO_SAND - BOARD_TO_BOARD * behind, board) for behind, board in enumerate(boards)),
        break_x=sand_x - BOARD_TO_SAND // 3 if boards else 0,
        metres=tuple((x, f"{metre} m" if mark_at_edge is not None else "") for x, metre in metres),
        strokes=strokes,
    )


def _strokes(landings: list[Landing], x_of: Callable[[int], int]) -> tuple[tuple[Stroke, ...], int]:
    """Each label in the first lane where it covers no other, and the number of lanes."""
    free_from: list[int] = []
    strokes = []
    for cm, bib, shown, first in sorted(landings):
        x = x_of(cm)
        lane = next((n for n, free in enumerate(free_from) if free <= x), len(free_from))
        bib_width = len(bib) * LETTER + BIB_PADDING
        mark_x = x + GAP + bib_width + GAP // 2
        free_from[lane : lane + 1] = [mark_x + len(shown) * LETTER + 2 * GAP]
        y = TOP + lane * LANE
        strokes.append(Stroke(x, y, y + LANE - 6, bib, bib_width, x + GAP + bib_width // 2, shown, mark_x, first))
    return tuple(strokes), len(free_from)


def _boards_used(event: Event, state: EventState) -> list[int]:
    used = {
        turn.trial.board_cm
        for entry in state.entries
        for turn in entry.turns
        if turn.trial is not None and turn.trial.board_cm
    }
    used |= {entry.board_cm for entry in state.entries if entry.board_cm and entry.turns}
    return sorted(used or set(event.boards_cm if len(event.boards_cm) == 1 else []))
