"""The day of a meet at a glance: every event with its stage and what is next to do in it."""

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from meets.desk.event.next_step import STAGE_WORDS, NextStep, next_step
from meets.models import Event, Meet
from meets.publishing.next_words import Next, what_next
from meets.publishing.reads import newest_of_events
from meets.running.states import EventNow, states_of


@dataclass(frozen=True)
class EventLine:
    """One event on the overview. `published`: the newest version of its result, 0 for none."""

    event: Event
    starts_at: datetime | None
    stage: str
    step: NextStep
    entered: int
    pits: tuple[str, ...]
    session_id: int | None
    alarms: int
    begun: bool
    published: int


def overview_of(meet: Meet) -> list[EventLine]:
    """Every event in the order of the programme, in a fixed number of queries."""
    published = {one.event_id: one for one in newest_of_events(meet)}
    at = timezone.now()
    return [
        _line(now, what_next(now.state, published.get(now.event.pk), at, meet.time_zone)) for now in states_of(meet)
    ]


def _line(now: EventNow, publishing: Next) -> EventLine:
    sessions = sorted({part.session for part in now.parts}, key=lambda s: (s.starts_at is None, s.starts_at, s.pk))
    state = now.state
    bibs = {str(entry.pk): entry.bib for entry in now.entries}
    session_id = sessions[0].pk if sessions else None
    return EventLine(
        event=now.event,
        starts_at=now.event.starts_at or (sessions[0].starts_at if sessions else None),
        stage=str(STAGE_WORDS[state.stage]),
        step=next_step(state, bibs, session_id, publishing),
        entered=len(now.entries),
        pits=tuple(dict.fromkeys(session.pit.name for session in sessions)),
        session_id=session_id,
        alarms=len(state.alarms),
        begun=any(entry.turns for entry in state.entries),
        published=publishing.version,
    )
