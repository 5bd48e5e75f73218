"""The drawing of an event from its state: which boards are in use, and whose best lies where."""

from collections.abc import Mapping

from meets.board.drawing import WIDE, Drawing, Landed, Size, pit_drawing
from meets.models import Event, Pit
from scoring.marks import Unit, show_mark
from scoring.state import EntryState, EventState


def drawing_of(
    event: Event,
    state: EventState,
    pit: Pit | None,
    bibs: Mapping[str, str],
    *,
    line: tuple[int, str] | None = None,
    size: Size = WIDE,
) -> Drawing | None:
    """None while nobody has a mark. `bibs` by entry; `line`: a mark to be reached, with its words."""
    unit = Unit(event.meet.unit)
    entries = {entry.line.entry: entry for entry in state.entries}
    landed = [
        Landed(
            bibs[placed.entry],
            placed.best,
            show_mark(placed.best, unit),
            _board_of(entries[placed.entry]),
            placed.place == 1,
        )
        for placed in state.places
        if placed.best is not None
    ]
    return pit_drawing(
        landed,
        unit=unit,
        boards_cm=_boards_used(event, state),
        sand_cm=pit.sand_cm if pit else None,
        line=line,
        size=size,
    )


def _board_of(entry: EntryState) -> int | None:
    trial = entry.series.best_trial
    return (trial and trial.board_cm) or entry.board_cm


def _boards_used(event: Event, state: EventState) -> list[int]:
    used = {
        turn.trial.board_cm
        for entry in state.entries
        for turn in entry.turns
        if turn.trial is not None and turn.trial.board_cm
    }
    used |= {entry.board_cm for entry in state.entries if entry.board_cm and entry.turns}
    return sorted(used or set(event.boards_cm if len(event.boards_cm) == 1 else []))
