"""What a key opens and for how long."""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q

from meets.models import Meet, PitKey, PitSession
from meets.running.sessions import moved_to

CLOSED = "closed"
"""What the hash of a key begins with that lets in no more phones; no hash does."""
DAYS_TO_COME_IN, DAYS_TO_DELIVER = 1, 14


def sessions_of(key: PitKey) -> list[PitSession]:
    """The sessions that a key covers: its own, or those that hold a part of its event or that a flight was moved to."""
    return list(_sessions_of(key).select_related("pit"))


def covers(key: PitKey, session_id: int) -> bool:
    return _sessions_of(key).filter(pk=session_id).exists()


def _sessions_of(key: PitKey):
    sessions = PitSession.objects.filter(pit__meet=key.meet_id)
    if key.session_id is not None:
        return sessions.filter(pk=key.session_id)
    moved = moved_to(key.event_id, key.meet_id)
    return sessions.filter(Q(parts__event=key.event_id) | Q(pk__in=moved.values("pk"))).distinct()


def comes_in_until(meet: Meet) -> datetime:
    """Until when a key lets phones in."""
    return _end_of_day(meet, DAYS_TO_COME_IN)


def delivers_until(meet: Meet) -> datetime:
    """Until when entries of a phone go into the log by themselves; after that the desk looks at them first."""
    return _end_of_day(meet, DAYS_TO_DELIVER)


def _end_of_day(meet: Meet, days: int) -> datetime:
    day = meet.date + timedelta(days=days + 1)
    return datetime.combine(day, time(0), ZoneInfo(meet.time_zone))
