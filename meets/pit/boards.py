"""Which boards of a pit an event can be jumped from."""

from collections.abc import Sequence

from meets.models import Event
from meets.running.reads import is_triple
from scoring.boards import LONG_JUMP_BOARD_CM


def boards_for(event: Event, pit_boards_cm: Sequence[int]) -> tuple[int, ...]:
    """The boards of the event; if it names none, those of the pit for its kind of jump, else all of the pit (cm)."""
    if event.boards_cm:
        return tuple(event.boards_cm)
    farthest = LONG_JUMP_BOARD_CM[1]
    fitting = tuple(cm for cm in pit_boards_cm if (cm > farthest) is is_triple(event))
    return fitting or tuple(pit_boards_cm)
