"""Boards to be measured from the line to the sand before a round: a tape that is wrong for all shows nowhere else."""

from django.utils.translation import gettext as _

from meets.entries.values import show_board
from meets.pit.boards import boards_for
from meets.pit.phone.own import Own
from meets.pit.phone.told_decisions import Due
from scoring.marks import Unit
from scoring.mixed_up import unmeasured_boards
from scoring.state import Stage

BEFORE_THE_END = (Stage.DRAWN, Stage.IN_PROGRESS)


def boards_to_measure(own: Own) -> list[Due]:
    found = []
    for event_id, state in own.whole.states.items():
        here = _entries_here(own, event_id)
        boards = _in_use(own, event_id, here)
        if state.stage in BEFORE_THE_END and boards:
            unit = Unit(own.whole.events[event_id].meet.unit)
            for board_cm in unmeasured_boards(own.whole_logs[event_id], state, boards, here):
                says = _("Measure the %(board)s board: line to sand edge.") % {"board": show_board(board_cm, unit)}
                found.append(Due(event_id, "measure", says, "", board_cm))
    return found


def _entries_here(own: Own, event_id: int) -> set[str]:
    """Whoever has jumped or will jump in this session, as its flights are held here."""
    state = own.whole.states[event_id]
    held = [part for part in own.whole.held if part.event_id == event_id]
    return {entry.line.entry for entry in state.entries if any(_holds(part, entry.flight) for part in held)}


def _holds(part: object, flight: int) -> bool:
    return part.flight in (0, flight) and flight not in part.moved


def _in_use(own: Own, event_id: int, here: set[str]) -> set[int]:
    """The boards of those who have a turn in the round that is jumped now."""
    queue = [item for item in own.whole.queue if item.event_id == event_id]
    if not queue:
        return set()
    now = [item for item in queue if item.turn.round == queue[0].turn.round]
    boards = boards_for(own.whole.events[event_id], own.whole.session.pit.boards_cm)
    only = boards[0] if len(boards) == 1 else None
    return {board for item in now if (board := item.board_cm or only)}
