"""The landing area from above, to scale, with the best mark of everybody as a stroke in the sand."""

from collections.abc import Sequence
from dataclasses import dataclass

from meets.models import Event, Pit
from scoring.marks import Unit, mark_in_cm
from scoring.places import Placed
from scoring.state import EventState

SAND_WIDTH_CM = 275
LANE_CM = 25
LABEL_CM = 105
EDGE_CM = 30


@dataclass(frozen=True)
class Stroke:
    """A best mark: where it lies from the left edge of the drawing, in which lane, and what is written beside."""

    x: int
    y: int
    label_y: int
    bib: str
    mark: str
    first: bool


@dataclass(frozen=True)
class Drawing:
    """Lengths in cm; the drawing's own unit is the centimetre too."""

    width: int
    height: int
    sand_x: int
    sand_width: int
    boards: tuple[tuple[int, str], ...]
    metres: tuple[tuple[int, int], ...]
    strokes: tuple[Stroke, ...]


def drawing_of(
    event: Event, state: EventState, pit: Pit | None, lines: Sequence[tuple[Placed, str, str]], unit: Unit
) -> Drawing | None:
    """None while nobody has a mark, or where the boards are not known. `lines`: placed, bib, mark as text."""
    boards = _boards_used(event, state)
    sand_cm = pit.sand_cm if pit else 800
    landings = []
    entries = {entry.line.entry: entry for entry in state.entries}
    for placed, bib, shown in lines:
        trial = entries[placed.entry].series.best_trial
        if trial is None or trial.valid_mark is None or placed.best is None:
            continue
        board = trial.board_cm or entries[placed.entry].board_cm or (boards[0] if len(boards) == 1 else None)
        if board is not None:
            landings.append((mark_in_cm(placed.best, unit) - board, bib, shown, placed.place == 1))
    if not landings or not boards:
        return None
    sand_x = EDGE_CM + boards[-1] + 20
    strokes, height = _strokes([landing for landing in landings if landing[0] <= sand_cm], sand_x)
    metres = tuple((sand_x + m * 100, m) for m in range(1, sand_cm // 100 + 1) if m * 100 < sand_cm)
    return Drawing(
        width=sand_x + sand_cm + EDGE_CM,
        height=height,
        sand_x=sand_x,
        sand_width=sand_cm,
        boards=tuple((sand_x - board, f"{board / 100:g} m") for board in boards),
        metres=metres,
        strokes=strokes,
    )


def _boards_used(event: Event, state: EventState) -> list[int]:
    used = {
        turn.trial.board_cm
        for entry in state.entries
        for turn in entry.turns
        if turn.trial is not None and turn.trial.board_cm
    }
    used |= {entry.board_cm for entry in state.entries if entry.board_cm}
    return sorted(used or set(event.boards_cm[:1] if len(event.boards_cm) == 1 else []))


def _strokes(landings: list[tuple[int, str, str, bool]], sand_x: int) -> tuple[tuple[Stroke, ...], int]:
    """Each label in the first lane where it covers no other; the sand grows when lanes run out."""
    free_from: list[int] = []
    strokes = []
    for landing, bib, shown, first in sorted(landings):
        x = sand_x + landing
        lane = next((n for n, free in enumerate(free_from) if free <= x), len(free_from))
        free_from[lane : lane + 1] = [x + LABEL_CM]
        y = EDGE_CM + lane * LANE_CM
        strokes.append(Stroke(x, y, y + LANE_CM - 8, bib, shown, first))
    return tuple(strokes), max(SAND_WIDTH_CM, 2 * EDGE_CM + len(free_from) * LANE_CM)
