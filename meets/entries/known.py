"""What is already known when a file is checked: the meet's events and entries, the schools and their athletes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from hashlib import sha256

from django.db.models import Q

from athletes.models import Athlete, Discipline, PastMark, School
from athletes.reading.names import folded
from meets.entries.event_names import EventName
from meets.entries.rules import event_rules, meet_rules
from meets.models import Entry, Event, LogRow, Meet, SessionPart
from scoring.age_schemes import AgeGroup, NotAnAge, scheme
from scoring.ages import deciding_date
from scoring.marks import Unit
from scoring.rulesets import RuleSet

# A mark older than this says little about a growing athlete.
RECENT = timedelta(days=400)
DEFAULT_SAND_CM = 800


@dataclass(frozen=True, slots=True)
class KnownSchool:
    pk: int
    code: str
    name: str


@dataclass(frozen=True, slots=True)
class KnownEvent:
    pk: int
    name: str
    parts: EventName
    group: AgeGroup | None
    rules: RuleSet
    boards_cm: tuple[int, ...]
    sand_cm: int
    has_log: bool

    @property
    def triple(self) -> bool:
        return self.parts.discipline == Discipline.TRIPLE_JUMP


@dataclass(frozen=True, slots=True)
class KnownAthlete:
    pk: int
    school_pk: int
    first_name: str
    last_name: str
    born: date | None
    sex: str
    not_public: bool


@dataclass(frozen=True, slots=True)
class KnownEntry:
    pk: int
    event_pk: int
    athlete_pk: int
    school_pk: int
    string: str
    guest: bool
    withdrawn: bool
    seed_mark: int | None


@dataclass(slots=True)
class Known:
    """A snapshot: everything a check needs, fetched by a fixed number of queries."""

    meet: Meet
    unit: Unit
    age_day: date
    events: dict[int, KnownEvent]
    schools: list[KnownSchool]
    entries: list[KnownEntry]
    recent_cm: dict[tuple[int, str], list[int]]
    basis: str
    event_by_name: dict[str, KnownEvent] = field(init=False)
    school_by_code: dict[str, KnownSchool] = field(init=False)
    school_by_name: dict[str, KnownSchool] = field(init=False)

    def __post_init__(self) -> None:
        self.event_by_name = {folded(event.name): event for event in self.events.values()}
        self.school_by_code = {school.code.casefold(): school for school in self.schools}
        names: dict[str, list[KnownSchool]] = defaultdict(list)
        for school in self.schools:
            names[folded(school.name)].append(school)
        self.school_by_name = {name: found[0] for name, found in names.items() if len(found) == 1}


def known_of(meet: Meet) -> Known:
    """Fetch what is known; the number of queries does not grow with the meet."""
    entries = _entries(meet)
    events = _events(meet)
    recent: dict[tuple[int, str], list[int]] = defaultdict(list)
    marks = PastMark.objects.filter(jumped_on__gt=meet.date - RECENT, jumped_on__lt=meet.date)
    for athlete_pk, discipline, mark_cm in marks.values_list("athlete_id", "discipline", "mark_cm"):
        recent[athlete_pk, discipline].append(mark_cm)
    return Known(
        meet=meet,
        unit=Unit(meet.unit),
        age_day=age_day(meet),
        events=events,
        schools=[KnownSchool(*row) for row in School.objects.values_list("pk", "code", "name")],
        entries=entries,
        recent_cm=recent,
        basis=_basis(entries, events.values()),
    )


def athletes_of(school_pks: Iterable[int], meet: Meet | None = None) -> list[KnownAthlete]:
    """Those of these schools, and whoever is entered in the meet."""
    wanted = Q(school__in=school_pks)
    if meet is not None:
        wanted |= Q(pk__in=Entry.objects.filter(event__meet=meet).order_by().values("athlete"))
    rows = Athlete.objects.filter(wanted).order_by("pk")
    fields = ("pk", "school_id", "first_name", "last_name", "born", "sex", "not_public")
    return [KnownAthlete(*row) for row in rows.values_list(*fields)]


def age_day(meet: Meet) -> date:
    """The date on which ages are taken: the meet's own, else the scheme's."""
    return meet.age_date or deciding_date(scheme(meet.age_scheme), meet.date)


def basis_of(meet: Meet) -> str:
    """A digest of the entries and events that a check stands on; it changes when they do."""
    return _basis(_entries(meet), _events(meet).values())


def group_of_event(meet: Meet, age_group: str) -> AgeGroup | None:
    """The scheme's group of this name; None for a name of the meet's own, whose ages nobody can check."""
    try:
        return scheme(meet.age_scheme).group(age_group)
    except NotAnAge:
        return None


def _entries(meet: Meet) -> list[KnownEntry]:
    rows = Entry.objects.filter(event__meet=meet).order_by("pk")
    return [
        KnownEntry(pk, event, athlete, school, string, guest, status == Entry.Status.WITHDRAWN, seed)
        for pk, event, athlete, school, string, guest, status, seed in rows.values_list(
            "pk", "event_id", "athlete_id", "athlete__school_id", "string", "guest", "status", "seed_mark"
        )
    ]


def _events(meet: Meet) -> dict[int, KnownEvent]:
    of_meet = meet_rules(meet)
    sand = dict(
        SessionPart.objects.filter(event__meet=meet).values_list("event_id", "session__pit__sand_cm").order_by("-pk")
    )
    logged = set(LogRow.objects.filter(event__meet=meet).order_by().values_list("event_id", flat=True).distinct())
    return {
        event.pk: KnownEvent(
            event.pk,
            event.name,
            EventName(event.age_group, event.category, event.discipline),
            group_of_event(meet, event.age_group),
            event_rules(event, of_meet),
            tuple(sorted(event.boards_cm)),
            sand.get(event.pk, DEFAULT_SAND_CM),
            event.pk in logged,
        )
        for event in Event.objects.filter(meet=meet)
    }


def _basis(entries: Iterable[KnownEntry], events: Iterable[KnownEvent]) -> str:
    return sha256(repr((list(entries), [(event.pk, event.rules) for event in events])).encode()).hexdigest()
