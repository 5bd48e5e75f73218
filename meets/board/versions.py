"""What the live pages of a meet depend on, said in one: looked up rarely, however many people look at them.

A process asks the database at most every `LOOK_EVERY_S` for each meet, in six queries whatever its size. Nothing here
reads a log: only which row is its last.
"""

import time
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from threading import Lock

from django.db import connection
from django.db.models import OuterRef, QuerySet, Subquery

from meets.models import Entry, Event, Meet, Penalty, Publication, Record, SessionPart
from meets.running.log_end import log_end

LOOK_EVERY_S = 0.4
_MOST_MEETS = 100
_seen: OrderedDict[str, "Seen"] = OrderedDict()
_one_at_a_time = Lock()


@dataclass(frozen=True, slots=True)
class Seen:
    """A meet when it was last looked at. `events`: the version of each event's pages; `whole` that of the meet's.

    Whose turn it is depends on the events that jump in the same list at a pit, or before it.
    """

    meet_id: int
    is_public: bool
    whole: str
    events: Mapping[int, str]
    looked_at: float


def seen(slug: str) -> Seen | None:
    """The meet as it was a moment ago; None if there is none of that name."""
    known = _seen.get(slug)
    if known is not None and time.monotonic() - known.looked_at < LOOK_EVERY_S:
        return known
    # Whoever finds somebody else looking takes what was known, if anything was.
    if not _one_at_a_time.acquire(blocking=known is None):
        return known
    try:
        found = look(slug)
        _seen.pop(slug, None)
        if found is not None:
            _seen[slug] = found
        while len(_seen) > _MOST_MEETS:
            _seen.popitem(last=False)
        return found
    finally:
        _one_at_a_time.release()


def forget() -> None:
    """Look again at the next question."""
    _seen.clear()


def look(slug: str) -> Seen | None:
    """The meet as it is now."""
    looked_at = time.monotonic()
    about = Meet.objects.filter(slug=slug).values_list().first()
    if about is None:
        return None
    meet = Meet(*about)
    with connection.cursor() as cursor:
        events, *around = (_rows(cursor, asked, meet.pk) for asked in _asked())
    around.append(about)
    return Seen(
        meet_id=meet.pk,
        is_public=meet.is_public,
        whole=_digest(around, events),
        events={row[0]: _digest(around, [row, *_beside(row[0], events, around[1])]) for row in events},
        looked_at=looked_at,
    )


Rows = list[tuple[object, ...]]


def _beside(event_id: object, events: Rows, parts: Rows) -> Rows:
    """The rows of the events that jump at the same pit in one list with an event, or before it."""
    last = {session: block for event, session, block, *_more in parts if event == event_id}
    others = {event for event, session, block, *_more in parts if session in last and block <= last[session]}
    return [row for row in events if row[0] in others and row[0] != event_id]


_ANY_MEET = -1


@cache
def _asked() -> tuple[tuple[str, tuple[object, ...]], ...]:
    """The questions as they are sent, put together once: that takes longer than to have them answered."""
    queries = (_events(_ANY_MEET).values_list(), *_around(_ANY_MEET))
    return tuple(rows.query.sql_with_params() for rows in queries)


def _rows(cursor: object, asked: tuple[str, tuple[object, ...]], meet_id: int) -> list[tuple[object, ...]]:
    """Values as the database has them: they are only compared."""
    sql, parameters = asked
    cursor.execute(sql, [meet_id if one == _ANY_MEET else one for one in parameters])
    return [tuple(row) for row in cursor.fetchall()]


def _events(meet_id: int) -> QuerySet[Event]:
    """The events, each with the end of its log and the newest of its publications."""
    newest = Publication.objects.filter(event=OuterRef("pk")).order_by("-version").values("pk")[:1]
    return Event.objects.filter(meet=meet_id).annotate(**log_end(), newest=Subquery(newest))


def _around(meet_id: int) -> tuple[QuerySet, ...]:
    """Everything but logs that stands on a page: people, schools, pits, penalties, records."""
    people = (
        "pk", "event", "bib", "string", "guest", "klass", "board_cm", "status", "athlete__first_name",
        "athlete__last_name", "athlete__not_public", "athlete__say_it", "athlete__school_year",
        "athlete__school__code", "athlete__school__name",
    )  # fmt: skip
    # `_beside` finds the first three by their place.
    pits = ("event", "session", "block", "pk", "flight", "further_trials", "session__starts_at", "session__pit__name")
    records = (
        "pk", "mark", "wind_tenths", "holder", "school", "year", "taken_out_at", "athlete__not_public",
        "athlete__first_name", "athlete__last_name", "book__name", "book__level", "book__unit",
    )  # fmt: skip
    return (
        Entry.objects.filter(event__meet=meet_id).order_by("pk").values_list(*people),
        SessionPart.objects.filter(event__meet=meet_id)
        .order_by("pk")
        .values_list(*pits, "session__pit__sand_cm", "session__pit__boards_cm"),
        Penalty.objects.filter(meet=meet_id).order_by("pk").values_list(),
        Record.objects.filter(book__meets=meet_id).order_by("pk").values_list(*records),
    )


def _digest(*parts: object) -> str:
    return sha256(repr(parts).encode()).hexdigest()
