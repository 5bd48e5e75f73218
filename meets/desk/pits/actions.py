from collections.abc import Sequence
from datetime import time

from django.db import transaction
from django.utils.translation import gettext as _

from meets.desk.pits.reads import without_session
from meets.desk.programme.actions import on_the_day
from meets.models import Meet, Pit, PitSession, SessionPart


@transaction.atomic
def store_session(
    *,
    meet: Meet,
    session: PitSession | None,
    pit: Pit,
    name: str,
    start: time | None,
    parts: Sequence[tuple[int, int, int]],
) -> PitSession:
    """Store a session with its parts (event id, flight, block), in order of blocks and then as given."""
    session = session or PitSession()
    session.pit, session.starts_at = pit, on_the_day(meet, start)
    session.name = name or _("%(pit)s, %(start)s") % {
        "pit": pit.name, "start": f"{start:%H:%M}" if start else _("no time yet")
    }  # fmt: skip
    session.save()
    session.parts.all().delete()
    ordered = sorted(parts, key=lambda part: part[2])
    SessionPart.objects.bulk_create(
        SessionPart(session=session, event_id=event_id, flight=flight, block=block, position=position)
        for position, (event_id, flight, block) in enumerate(ordered, 1)
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
