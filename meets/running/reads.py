"""What pages and sheets read of an event that is run: its rules, its people, its state, a session's call order."""

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Max, Prefetch
from django.utils.translation import gettext as _

from athletes.models import Discipline
from meets.models import Entry, Event, LogRow, Meet, PitSession, SessionPart
from scoring.age_schemes import scheme
from scoring.ages import deciding_date
from scoring.callorder import SessionPart as PartTurns
from scoring.callorder import session_turns
from scoring.event import replay
from scoring.facts import from_plain
from scoring.log import Row, Turn
from scoring.marks import Unit
from scoring.rulesets import RuleSet, from_written, rule_set
from scoring.state import EventState, StartLine

_KEPT_STATES = 64
_states: OrderedDict[tuple, EventState] = OrderedDict()


@dataclass(frozen=True, slots=True)
class Person:
    """An entry as officials see it: year group, never the birth date."""

    entry: str
    bib: str
    name: str
    school: str
    school_code: str
    string: str
    year_group: str
    guest: bool
    seed_mark: int | None
    seed_date: date | None
    seed_wind_tenths: int | None
    board_cm: int | None
    also_in: tuple[str, ...]
    say_it: str
    status: str


@dataclass(frozen=True, slots=True)
class QueuedTurn:
    """A turn in the call order of a pit session."""

    event_id: int
    event: str
    turn: Turn
    person: Person
    board_cm: int | None
    away: str
    why: str


def rules_of(event: Event) -> RuleSet:
    """The meet's rule set with the meet's and then the event's changes."""
    rules = meet_rules(event.meet)
    changes = {name: from_written(name, text) for name, text in event.rule_changes.items()}
    return rules.with_changes(changes) if changes else rules


def meet_rules(meet: Meet) -> RuleSet:
    rules = rule_set(meet.rule_set)
    changes = {name: from_written(name, text) for name, text in meet.rule_changes.items()}
    return rules.with_changes(changes) if changes else rules


def version_of(event: Event) -> int:
    """The position of the last row of the event's log; 0 for an empty log."""
    return LogRow.objects.filter(event=event).aggregate(last=Max("rev"))["last"] or 0


def rows_of(event: Event) -> list[Row]:
    return [to_row(row) for row in LogRow.objects.filter(event=event).order_by("rev")]


def to_row(row: LogRow) -> Row:
    """A stored row as the engine reads it."""
    return Row(
        id=str(row.pk),
        rev=row.rev,
        fact=from_plain(row.kind, row.values),
        supersedes=tuple(row.supersedes),
        recorder=row.recorder,
        by=row.by,
        reason=row.reason,
        at=row.at,
    )


def entries_of(event: Event) -> list[Entry]:
    """Entries that count as being in the event, by bib; withdrawn before the meet are left out."""
    return list(event.entries.exclude(status=Entry.Status.WITHDRAWN).select_related("athlete__school").order_by("pk"))


def start_lines(entries: Sequence[Entry]) -> tuple[StartLine, ...]:
    return tuple(
        StartLine(
            str(entry.pk),
            entry.bib or f"#{entry.pk}",
            entry.athlete.school.code,
            entry.string,
            entry.guest,
            entry.klass,
            entry.board_cm,
        )
        for entry in entries
    )


def state_of(event: Event, entries: Sequence[Entry] | None = None) -> EventState:
    """The state of an event, derived from its log; kept in memory while nothing has changed."""
    lines = start_lines(entries_of(event) if entries is None else entries)
    rules, version, sand_cm = rules_of(event), version_of(event), sand_cm_of(event)
    unit = Unit(event.meet.unit)
    key = (event.pk, event.meet.created_at, version, lines, rules, unit, sand_cm)
    if key in _states:
        _states.move_to_end(key)
        return _states[key]
    state = replay(lines, rows_of(event), rules, unit=unit, sand_cm=sand_cm)
    _states[key] = state
    while len(_states) > _KEPT_STATES:
        _states.popitem(last=False)
    return state


def sand_cm_of(event: Event) -> int | None:
    """The length of the sand where the event is held; None while no pit is set, or where several differ."""
    lengths = {part.session.pit.sand_cm for part in event.session_parts.select_related("session__pit")}
    return lengths.pop() if len(lengths) == 1 else None


def people_of(event: Event, entries: Sequence[Entry] | None = None) -> dict[str, Person]:
    """Everybody in the event by entry key."""
    entries = entries_of(event) if entries is None else entries
    also = _also_in(event, [entry.athlete_id for entry in entries])
    on = event.meet.age_date or deciding_date(scheme(event.meet.age_scheme), event.meet.date)
    return {
        str(entry.pk): Person(
            entry=str(entry.pk),
            bib=entry.bib or f"#{entry.pk}",
            name=str(entry.athlete),
            school=entry.athlete.school.name,
            school_code=entry.athlete.school.code,
            string=entry.string,
            year_group=year_group(entry.athlete.school_year, entry.athlete.born, on),
            guest=entry.guest,
            seed_mark=entry.seed_mark,
            seed_date=entry.seed_date,
            seed_wind_tenths=entry.seed_wind_tenths,
            board_cm=entry.board_cm,
            also_in=tuple(name for name in also.get(entry.athlete_id, ()) if name != event.name),
            say_it=entry.athlete.say_it,
            status=entry.status,
        )
        for entry in entries
    }


def year_group(school_year: str, born: date, on: date) -> str:
    """The school year if the school gave it, else the year of birth: never the date."""
    return school_year or str(born.year)


def _also_in(event: Event, athlete_ids: Sequence[int]) -> dict[int, list[str]]:
    others = Entry.objects.filter(event__meet=event.meet_id, athlete_id__in=athlete_ids).exclude(
        status=Entry.Status.WITHDRAWN
    )
    found: dict[int, list[str]] = {}
    for athlete_id, name in others.order_by("event__position").values_list("athlete_id", "event__name"):
        found.setdefault(athlete_id, []).append(name)
    return found


@dataclass(frozen=True, slots=True)
class SessionView:
    """A pit session with the state and people of each of its events, by event id, and its call order."""

    session: PitSession
    events: dict[int, Event]
    states: dict[int, EventState]
    people: dict[int, dict[str, Person]]
    queue: tuple[QueuedTurn, ...]


def session_view(session: PitSession) -> SessionView:
    """Everything a crew needs at its pit."""
    parts = list(
        session.parts.select_related("event__meet").prefetch_related(
            Prefetch("event__session_parts", SessionPart.objects.select_related("session__pit"))
        )
    )
    events = {part.event_id: part.event for part in parts}
    entries = {pk: entries_of(event) for pk, event in events.items()}
    states = {pk: state_of(event, entries[pk]) for pk, event in events.items()}
    people = {pk: people_of(event, entries[pk]) for pk, event in events.items()}
    ordered = session_turns(
        [
            PartTurns(
                part.block,
                str(part.event_id),
                part.flight,
                states[part.event_id].turns,
                part.pk == _holds_further_trials(part.event),
            )
            for part in parts
        ]
    )
    queue = []
    for item in ordered:
        event_id, turn = int(item.event), item.turn
        entry = states[event_id].entry(turn.turn.entry)
        person = people[event_id][turn.turn.entry]
        away = (entry.away or _("away")) if turn.away else ""
        queue.append(QueuedTurn(event_id, events[event_id].name, turn.turn, person, turn.board_cm, away, turn.why))
    return SessionView(session, events, states, people, tuple(queue))


def _holds_further_trials(event: Event) -> int:
    """Which part of a session holds the trials after the cut: the one ticked, else that of the last flight."""
    parts = list(event.session_parts.all())
    return max(parts, key=lambda part: (part.further_trials, part.flight, part.pk)).pk


def queue_of(session: PitSession) -> tuple[QueuedTurn, ...]:
    """The turns of all parts of a session in call order; an athlete away is in it, marked."""
    return session_view(session).queue


def is_triple(event: Event) -> bool:
    return event.discipline == Discipline.TRIPLE_JUMP
