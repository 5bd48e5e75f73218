"""The sand from above, to scale along the jump, with everybody's best as a stroke in it.

The runway between board and sand is drawn shortened, with a break, so that the sand fills the width.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from meets.models import Event, Pit
from scoring.marks import Unit, mark_in_cm
from scoring.places import Placed
from scoring.state import EventState

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
    width: int
    height: int
    sand_x: int
    sand_end: int
    break_x: int
    boards: tuple[tuple[int, str], ...]
    metres: tuple[int, ...]
    strokes: tuple[Stroke, ...]

    @property
    def sand_width(self) -> int:
        return self.sand_end - self.sand_x


def drawing_of(
    event: Event, state: EventState, pit: Pit | None, lines: Sequence[tuple[Placed, str, str]], unit: Unit
) -> Drawing | None:
    """None while nobody has a mark, or where the boards or the sand are not known. `lines`: placed, bib, mark."""
    boards = _boards_used(event, state)
    if pit is None or not boards:
        return None
    landings = []
    entries = {entry.line.entry: entry for entry in state.entries}
    for placed, bib, shown in lines:
        entry = entries[placed.entry]
        trial = entry.series.best_trial
        board = (trial and trial.board_cm) or entry.board_cm or (boards[0] if len(boards) == 1 else None)
        if placed.best is not None and board is not None:
            landing = mark_in_cm(placed.best, unit) - board
            if 0 <= landing <= pit.sand_cm:
                landings.append((landing, bib, shown, placed.place == 1))
    return _drawn(landings, boards, pit.sand_cm) if landings else None


def _drawn(landings: list[tuple[int, str, str, bool]], boards: list[int], sand_cm: int) -> Drawing:
    """Scaled so that the sand up to a little behind the longest jump fills what the runway leaves."""
    shown_cm = min(sand_cm, max(landing for landing, *_rest in landings) + BEYOND_CM)
    sand_x = RUN_UP + BOARD_TO_BOARD * (len(boards) - 1) + BOARD_TO_SAND
    scale = (WIDTH - sand_x) / shown_cm

    def x_of(cm_into_sand: int) -> int:
        return sand_x + round(cm_into_sand * scale)

    free_from: list[int] = []
    strokes = []
    for landing, bib, shown, first in sorted(landings):
        x = x_of(landing)
        lane = next((n for n, free in enumerate(free_from) if free <= x), len(free_from))
        bib_width = len(bib) * LETTER + BIB_PADDING
        mark_x = x + GAP + bib_width + GAP // 2
        free_from[lane : lane + 1] = [mark_x + len(shown) * LETTER + 2 * GAP]
        y = TOP + lane * LANE
        strokes.append(Stroke(x, y, y + LANE - 6, bib, bib_width, x + GAP + bib_width // 2, shown, mark_x, first))
    return Drawing(
        width=WIDTH,
        height=2 * TOP + max(len(free_from), FEWEST_LANES) * LANE,
        sand_x=sand_x,
        sand_end=WIDTH,
        break_x=sand_x - BOARD_TO_SAND // 3,
        boards=tuple(
            (sand_x - BOARD_TO_SAND - BOARD_TO_BOARD * behind, f"{board / 100:g} m")
            for behind, board in enumerate(boards)
        ),
        metres=tuple(x_of(cm) for cm in range(100, shown_cm, 100)),
        strokes=tuple(strokes),
    )


def _boards_used(event: Event, state: EventState) -> list[int]:
    used = {
        turn.trial.board_cm
        for entry in state.entries
        for turn in entry.turns
        if turn.trial is not None and turn.trial.board_cm
    }
    used |= {entry.board_cm for entry in state.entries if entry.board_cm and entry.turns}
    return sorted(used or set(event.boards_cm if len(event.boards_cm) == 1 else []))
