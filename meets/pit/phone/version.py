"""What of a session has changed, told so cheaply that every phone may ask all the time."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from uuid import UUID

from django.db import connection
from django.db.models import Q
from django.utils.translation import get_language

from meets.models import Delivery, Device, LogRow, PitClock, PitSession, Role, SessionPart
from meets.pit.keys.roles import recorder_name
from meets.pit.phone.state import Clock
from meets.pit.sync.epochs import current_epoch
from meets.pit.sync.tables import marks
from meets.pit.sync.views import in_ms

OF_PHONE = (
    "pk", "number", "key__roles", "last_contact", "streams__epoch", "streams__max_seq", "streams__upto",
)  # fmt: skip
# In plain SQL, as every phone asks every few seconds: to put it together costs more than to look it up.
EVENTS = """
SELECT e.id, e.name, e.discipline, e.boards_cm, e.rule_changes,
    (SELECT r.id FROM meets_logrow r WHERE r.event_id = e.id ORDER BY r.rev DESC LIMIT 1),
    (SELECT MAX(r.rev) FROM meets_logrow r WHERE r.event_id = e.id)
FROM meets_event e
WHERE e.id IN (SELECT p.event_id FROM meets_sessionpart p WHERE p.session_id = %s)
    OR (e.meet_id = %s
        AND EXISTS (SELECT 1 FROM meets_logrow m WHERE m.event_id = e.id AND m.kind = 'flight_moved'))
ORDER BY e.id
"""
PARTS = """
SELECT p.id, p.event_id, p.flight, p.block, p.position, p.further_trials, s.id, s.starts_at, pit.name, pit.sand_cm
FROM meets_sessionpart p JOIN meets_pitsession s ON s.id = p.session_id JOIN meets_pit pit ON pit.id = s.pit_id
WHERE p.event_id IN ({}) ORDER BY p.id
"""
ENTRIES = """
SELECT n.id, n.event_id, n.bib, n.string, n.status, n.guest, n.klass, n.board_cm, n.seed_mark, n.named_at_pit, e.name,
    a.first_name, a.last_name, a.say_it, a.school_year, a.born, s.name, s.code
FROM meets_entry n JOIN meets_event e ON e.id = n.event_id
    JOIN athletes_athlete a ON a.id = n.athlete_id JOIN athletes_school s ON s.id = a.school_id
WHERE n.athlete_id IN (SELECT h.athlete_id FROM meets_entry h WHERE h.event_id IN ({})) ORDER BY n.id
"""
MARKS = """
SELECT COUNT(*), MAX(m.id) FROM athletes_pastmark m
WHERE m.athlete_id IN (SELECT h.athlete_id FROM meets_entry h WHERE h.event_id IN ({}))
"""
HEARD_WITHIN = timedelta(minutes=2)
WROTE_WITHIN = timedelta(minutes=10)
MOST_IN_REVIEW = 100
OF_ENTRY = (
    "event", "pk", "bib", "string", "status", "guest", "klass", "board_cm", "seed_mark", "named_at_pit", "event__name",
    "athlete__first_name", "athlete__last_name", "athlete__say_it", "athlete__school_year", "athlete__born",
    "athlete__school__name", "athlete__school__code",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Now:
    """What a phone is told besides the body. `body_key` names the content of the body, `version` of all.

    `beside`: number and official of other phones that write the same record.
    """

    body_key: str
    version: str
    server_epoch: str
    included: dict[str, int]
    clock: Clock | None
    gauge_on: bool
    second_on: bool
    behind: tuple[int, ...]
    in_review: tuple[str, ...]
    beside: tuple[tuple[int, str], ...]


@dataclass(slots=True)
class _Phone:
    """A phone whose key opens the session; `upto` by stream, `behind`: numbers were given that have not come."""

    number: int
    roles: list[str]
    last_contact: datetime | None
    upto: dict[str, int] = field(default_factory=dict)
    behind: bool = False

    def is_heard(self, now: datetime) -> bool:
        return self.last_contact is not None and self.last_contact >= now - HEARD_WITHIN


def now_of(session: PitSession, device: Device, role: str, now: datetime) -> Now:
    """How things stand for a phone, in a number of queries that nothing grows; `included` before the log is read."""
    phones = _phones(session)
    own = phones.get(device.pk)
    included = own.upto if own else {}
    gauge_on, second_on = _heard_of(session, phones.values(), now)
    behind = tuple(sorted(phone.number for phone in phones.values() if phone is not own and phone.behind))
    epoch, clock = str(current_epoch()), _clock(session)
    body_key = _digest([session.pk, role, get_language(), epoch, *_content(session)])
    in_review, beside = _in_review(device), _beside(session, phones, device, role, now)
    version = _digest(
        [body_key, epoch, sorted(included.items()), clock, gauge_on, second_on, behind, in_review, beside]
    )
    return Now(body_key, version, epoch, included, clock, gauge_on, second_on, behind, in_review, beside)


def _in_review(device: Device) -> tuple[str, ...]:
    own = Delivery.objects.filter(stream__device=device, status=Delivery.Status.NEEDS_REVIEW)
    return tuple(str(pk) for pk in own.order_by("stream", "seq").values_list("pk", flat=True)[:MOST_IN_REVIEW])


def _beside(
    session: PitSession, phones: Mapping[UUID, _Phone], device: Device, role: str, now: datetime
) -> tuple[tuple[int, str], ...]:
    """Other phones that are at work here and wrote trials of this role's record just now."""
    if role not in (Role.RECORDER, Role.SECOND):
        return ()
    # Whoever has not been heard of since this one came in was put away for it, or is the same phone before.
    others = [
        pk
        for pk, one in phones.items()
        if pk != device.pk and role in one.roles and one.is_heard(now) and one.last_contact > device.came_in_at
    ]
    if not others:
        return ()
    since = now - WROTE_WITHIN
    # By when they were written: a phone that was out of reach brings what another has long gone on from.
    trials = LogRow.objects.filter(kind="jumped", recorder=recorder_name(Role(role)), at__gte=since)
    if device.key.event_id:  # (the code of another event at this pit is for another record)
        trials = trials.filter(event=device.key.event_id)
    # Where the flights of an event are at several pits, a code for the whole event is for the recorders of all of them.
    elsewhere = SessionPart.objects.exclude(session=session).values("event")
    of_event = Q(event__session_parts__session=session) & ~Q(event__in=elsewhere)
    at_this_pit = Q(stream__device__key__session=session) | of_event
    wrote = Delivery.objects.filter(at_this_pit, pk__in=trials.values("pk"), stream__device__in=others, at__gte=since)
    who = ("stream__device__number", "stream__device__official")
    return tuple(wrote.order_by(*who).values_list(*who).distinct())


def _phones(session: PitSession) -> dict[UUID, _Phone]:
    covers = Q(key__session=session) | Q(key__event__session_parts__session=session)
    found: dict[UUID, _Phone] = {}
    rows = Device.objects.filter(covers, revoked_at=None, key__revoked_at=None).order_by().values_list(*OF_PHONE)
    for pk, number, roles, last_contact, epoch, max_seq, upto in rows:
        phone = found.setdefault(pk, _Phone(number, roles, last_contact))
        if epoch is not None:
            phone.upto[str(epoch)] = upto
            phone.behind |= upto < max_seq
    return found


def _heard_of(session: PitSession, phones: Iterable[_Phone], now: datetime) -> tuple[bool, bool]:
    """Whether a gauge operator and a second recorder are at work.

    A phone that may be recorder or gauge is the gauge if the last wind was written as one.
    """
    heard = [phone.roles for phone in phones if phone.is_heard(now)]
    gauges = [roles for roles in heard if Role.GAUGE in roles]
    alone = any(Role.RECORDER not in roles for roles in gauges)
    gauge_on = alone or (bool(gauges) and _last_wind_by(session) == recorder_name(Role.GAUGE))
    return gauge_on, any(Role.SECOND in roles for roles in heard)


def _last_wind_by(session: PitSession) -> str | None:
    winds = LogRow.objects.filter(event__session_parts__session=session, kind="wind_read")
    return winds.order_by("-at", "-rev").values_list("recorder", flat=True).first()


def _clock(session: PitSession) -> Clock | None:
    clock = PitClock.objects.filter(session=session).first()
    if clock is None:
        return None
    return Clock(clock.turn, None if clock.started_at is None else in_ms(clock.started_at), clock.seconds)


def _content(session: PitSession) -> Iterator[object]:
    """Everything that a body is made of, in short."""
    pit, meet = session.pit, session.pit.meet
    yield (_code(), session.name, session.starts_at, pit.name, pit.sand_cm, pit.boards_cm, pit.gauge)
    yield (meet.name, meet.date, meet.time_zone, meet.unit, meet.rule_set, meet.rule_changes, meet.age_scheme)
    yield meet.age_date
    with connection.cursor() as cursor:
        cursor.execute(EVENTS, [session.pk, meet.pk])
        events = cursor.fetchall()
        yield events
        known = [event[0] for event in events]
        for text in (PARTS, ENTRIES, MARKS) if known else ():
            cursor.execute(text.format(marks(known)), known)
            yield cursor.fetchall()


@cache
def _code() -> str:
    """Another release may say things in other words."""
    return _digest([path.read_bytes() for path in sorted(Path(__file__).parent.glob("*.py"))])


def _digest(content: object) -> str:
    return hashlib.sha256(repr(content).encode()).hexdigest()[:20]
