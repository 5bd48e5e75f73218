"""What of a session has changed, told so cheaply that every phone may ask all the time."""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from uuid import UUID

from django.db.models import Count, Max, OuterRef, Q, Subquery
from django.utils.translation import get_language

from athletes.models import PastMark
from meets.models import Device, Entry, Event, LogRow, PitClock, PitSession, Role, SessionPart
from meets.pit.keys.roles import recorder_name
from meets.pit.phone.state import Clock
from meets.pit.sync.epochs import current_epoch
from meets.pit.sync.views import in_ms

OF_PHONE = (
    "pk", "number", "key__roles", "last_contact", "streams__epoch", "streams__max_seq", "streams__upto",
)  # fmt: skip
OF_PART = (
    "event", "flight", "block", "position", "further_trials", "session", "session__pit__sand_cm", "session__pit__name",
)  # fmt: skip
HEARD_WITHIN = timedelta(minutes=2)
OF_ENTRY = (
    "event", "pk", "bib", "string", "status", "guest", "klass", "board_cm", "seed_mark", "named_at_pit", "event__name",
    "athlete__first_name", "athlete__last_name", "athlete__say_it", "athlete__school_year", "athlete__born",
    "athlete__school__name", "athlete__school__code",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Now:
    """What a phone is told besides the body. `body_key` names the content of the body, `version` of all."""

    body_key: str
    version: str
    server_epoch: str
    included: dict[str, int]
    clock: Clock | None
    gauge_on: bool
    second_on: bool
    behind: tuple[int, ...]


@dataclass(slots=True)
class _Phone:
    """A phone whose key opens the session; `upto` by stream, `behind`: numbers were given that have not come."""

    number: int
    roles: list[str]
    last_contact: datetime | None
    upto: dict[str, int] = field(default_factory=dict)
    behind: bool = False


def now_of(session: PitSession, device: Device, role: str, now: datetime) -> Now:
    """How things stand for a phone, in a number of queries that nothing grows; `included` before the log is read."""
    phones = _phones(session)
    own = phones.get(device.pk)
    included = own.upto if own else {}
    gauge_on, second_on = _heard_of(session, phones.values(), now)
    behind = tuple(sorted(phone.number for phone in phones.values() if phone is not own and phone.behind))
    body_key = _digest([session.pk, role, get_language(), *_content(session)])
    epoch, clock = str(current_epoch()), _clock(session)
    version = _digest([body_key, epoch, sorted(included.items()), clock, gauge_on, second_on, behind])
    return Now(body_key, version, epoch, included, clock, gauge_on, second_on, behind)


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
    since = now - HEARD_WITHIN
    heard = [phone.roles for phone in phones if phone.last_contact and phone.last_contact >= since]
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
    latest = LogRow.objects.filter(event=OuterRef("pk")).order_by("-rev").values("pk")[:1]
    moved_here = LogRow.objects.filter(event__meet=meet, kind="flight_moved", values__pit=pit.name).values("event")
    here = SessionPart.objects.filter(session=session).values("event")
    events = Event.objects.filter(Q(pk__in=here) | Q(pk__in=moved_here)).annotate(last_row=Subquery(latest))
    rows = list(events.order_by("pk").values_list("pk", "name", "boards_cm", "rule_changes", "discipline", "last_row"))
    yield rows
    known = [row[0] for row in rows]
    parts = SessionPart.objects.filter(event__in=known).order_by("pk")
    yield list(parts.values_list(*OF_PART))
    entries = Entry.objects.filter(athlete__entries__event__in=known).distinct().order_by("pk")
    yield list(entries.values_list(*OF_ENTRY))
    marks = PastMark.objects.filter(athlete__entries__event__in=known)
    yield marks.aggregate(many=Count("pk"), last=Max("pk"))


@cache
def _code() -> str:
    """Another release may say things in other words."""
    return _digest([path.read_bytes() for path in sorted(Path(__file__).parent.glob("*.py"))])


def _digest(content: object) -> str:
    return hashlib.sha256(repr(content).encode()).hexdigest()[:20]
