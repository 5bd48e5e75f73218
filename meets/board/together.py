"""Whose turn it is at the pit, where an event may jump in one list with others, or wait until another is over."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from meets.models import Event, PitSession, SessionPart
from meets.running.reads import queue_of
from scoring.state import EventState, NextTurn


@dataclass(frozen=True, slots=True)
class InLine:
    """A turn of an event; `ahead`: how many come before it at the pit, those of other events too. `after`: the names
    of the events that these are of, if none is of this one."""

    turn: NextTurn
    ahead: int
    after: str = ""


def parts_beside(event: Event) -> list[SessionPart]:
    """All parts of the sessions that hold an event."""
    beside = SessionPart.objects.filter(session__parts__event=event)
    return list(beside.select_related("session__pit").distinct())


def in_line(event: Event, state: EventState, parts: Iterable[SessionPart]) -> tuple[InLine, ...]:
    """The turns of athletes who are here, as they are called. `parts`: those of the event's sessions at least."""
    shared = _shared_session(event, state, list(parts))
    if shared is None:
        return tuple(InLine(turn, ahead) for ahead, turn in enumerate(state.callable))
    own = {turn.turn: turn for turn in state.callable}
    queue = [one for one in queue_of(shared) if not one.away]
    line = [InLine(own[one.turn], ahead) for ahead, one in enumerate(queue) if one.turn in own]
    if line:
        line[0] = replace(line[0], after=", ".join(dict.fromkeys(one.event for one in queue[: line[0].ahead])))
    return tuple(line)


def who_is_up(line: Iterable[InLine]) -> str:
    """The entry whose turn it is at the pit, '' where that is nobody of this event."""
    return next((one.turn.turn.entry for one in line if not one.ahead), "")


def _shared_session(event: Event, state: EventState, parts: list[SessionPart]) -> PitSession | None:
    """The session that holds the whole event, where others may be called before it: those of its block, and until
    its first trial those of earlier blocks."""
    own = [part for part in parts if part.event_id == event.pk]
    if len(own) != 1 or state.moved:
        return None
    one, begun = own[0], any(entry.turns for entry in state.entries)
    others = (part for part in parts if part.session_id == one.session_id and part.event_id != event.pk)
    before = any(part.block == one.block or (part.block < one.block and not begun) for part in others)
    return one.session if before else None
