"""The day of a meet at a glance: every event with its stage and what is next to do in it."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Prefetch

from meets.desk.event.next_step import STAGE_WORDS, NextStep, next_step
from meets.models import Entry, Event, LogRow, Meet, SessionPart
from meets.running.reads import rules_of, start_lines, to_row
from scoring.event import replay
from scoring.log import Row
from scoring.marks import Unit
from scoring.state import EventState


@dataclass(frozen=True)
class EventLine:
    """One event on the overview."""

    event: Event
    stage: str
    step: NextStep
    entered: int
    pits: tuple[str, ...]
    session_id: int | None
    alarms: int
    begun: bool


def overview_of(meet: Meet) -> list[EventLine]:
    """Every event in the order of the programme, in a fixed number of queries."""
    events = list(
        meet.events.prefetch_related(
            Prefetch("entries", _entries(), to_attr="entered"),
            Prefetch("session_parts", SessionPart.objects.select_related("session__pit"), to_attr="parts"),
        )
    )
    rows: dict[int, list[Row]] = defaultdict(list)
    for row in LogRow.objects.filter(event__meet=meet).order_by("event", "rev"):
        rows[row.event_id].append(to_row(row))
    return [_line(meet, event, rows[event.pk]) for event in events]


def _entries():
    return Entry.objects.exclude(status=Entry.Status.WITHDRAWN).select_related("athlete__school").order_by("pk")


def _line(meet: Meet, event: Event, rows: list[Row]) -> EventLine:
    event.meet = meet
    sessions = sorted({part.session for part in event.parts}, key=lambda s: (s.starts_at is None, s.starts_at, s.pk))
    state = _state(event, rows)
    bibs = {str(entry.pk): entry.bib for entry in event.entered}
    session_id = sessions[0].pk if sessions else None
    return EventLine(
        event=event,
        stage=str(STAGE_WORDS[state.stage]),
        step=next_step(state, bibs, session_id),
        entered=len(event.entered),
        pits=tuple(dict.fromkeys(session.pit.name for session in sessions)),
        session_id=session_id,
        alarms=len(state.alarms),
        begun=any(entry.turns for entry in state.entries),
    )


def _state(event: Event, rows: list[Row]) -> EventState:
    lengths = {part.session.pit.sand_cm for part in event.parts}
    sand_cm = lengths.pop() if len(lengths) == 1 else None
    return replay(start_lines(event.entered), rows, rules_of(event), unit=Unit(event.meet.unit), sand_cm=sand_cm)
