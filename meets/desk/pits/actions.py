from collections.abc import Sequence
from datetime import time
from typing import NamedTuple

from django.db import transaction
from django.utils.translation import gettext as _

from meets.desk.clock import on_the_day
from meets.desk.pits.reads import without_session
from meets.models import Meet, Pit, PitSession, SessionPart


class Part(NamedTuple):
    """An event in a session: all its flights (0) or one, in which block, and whether trials after the cut are here."""

    event_id: int
    flight: int
    block: int
    further_trials: bool = False


@transaction.atomic
def store_session(
    *,
    meet: Meet,
    session: PitSession | None,
    pit: Pit,
    name: str,
    start: time | None,
    parts: Sequence[Part],
) -> PitSession:
    """Store a session with its parts, in order of blocks and then as given."""
    session = session or PitSession()
    session.pit, session.starts_at = pit, on_the_day(meet, start)
    session.name = name or _("%(pit)s, %(start)s") % {
        "pit": pit.name, "start": f"{start:%H:%M}" if start else _("no time yet")
    }  # fmt: skip
    session.save()
    session.parts.all().delete()
    ordered = sorted(parts, key=lambda part: part.block)
    SessionPart.objects.bulk_create(
        SessionPart(session=session, position=position, **part._asdict()) for position, part in enumerate(ordered, 1)
    )
    return session


@transaction.atomic
def a_session_each(*, meet: Meet, pit: Pit) -> int:
    """Make a session of its own for every event that is in none; how many were made."""
    events = without_session(meet)
    for event in events:
        session = PitSession.objects.create(pit=pit, name=event.name[:80], starts_at=event.starts_at)
        SessionPart.objects.create(session=session, event=event, position=1)
    return len(events)


@transaction.atomic
def remove_session(*, session: PitSession) -> None:
    """Take a session out of the plan; its events stay, in no session."""
    session.delete()
