"""What pages and sheets read of an event that is run: its rules, its people, its state, a session's call order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from django.utils.translation import gettext as _

from athletes.models import Discipline
from meets.models import Entry, Event, PitSession
from meets.running.sessions import Held, events_of, held_by
from meets.running.states import (
    entries_of,
    rows_of,
    rules_of,
    sand_cm_at,
    sand_cm_of,
    start_lines,
    state_of,
    states_of,
    to_row,
    version_of,
)
from scoring.age_schemes import scheme
from scoring.ages import deciding_date
from scoring.callorder import SessionPart as PartTurns
from scoring.callorder import session_turns
from scoring.log import Turn
from scoring.state import EventState

__all__ = [
    "Person",
    "QueuedTurn",
    "SessionView",
    "entries_of",
    "is_triple",
    "people_of",
    "queue_of",
    "requeued",
    "rows_of",
    "rules_of",
    "sand_cm_at",
    "sand_cm_of",
    "session_view",
    "start_lines",
    "state_of",
    "states_of",
    "to_row",
    "version_of",
    "year_group",
]


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


def year_group(school_year: str, born: date | None, on: date) -> str:
    """The school year if the school gave it, else the year of birth: never the date. Somebody named at the pit may
    have neither."""
    return school_year or (str(born.year) if born else _("year not known"))


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
    """A pit session with the state and people of each of its events, by event id, and its call order.

    `held`: the flights that it holds; `entries` as stored, for who needs more of them than people are shown.
    """

    session: PitSession
    events: dict[int, Event]
    states: dict[int, EventState]
    people: dict[int, dict[str, Person]]
    queue: tuple[QueuedTurn, ...]
    held: tuple[Held, ...] = ()
    entries: Mapping[int, Sequence[Entry]] = field(default_factory=dict)


def session_view(session: PitSession) -> SessionView:
    """Everything a crew needs at its pit; a flight that was moved to another is there and no longer here."""
    known = events_of(session)
    entries = {event.pk: entries_of(event) for event in known}
    known_states = {event.pk: state_of(event, entries[event.pk]) for event in known}
    held = held_by(session, known, known_states)
    here = {part.event_id for part in held}
    events = {event.pk: event for event in known if event.pk in here}
    states = {pk: known_states[pk] for pk in events}
    people = {pk: people_of(event, entries[pk]) for pk, event in events.items()}
    view = SessionView(session, events, states, people, (), tuple(held), {pk: entries[pk] for pk in events})
    return requeued(view, states)


def requeued(view: SessionView, states: Mapping[int, EventState]) -> SessionView:
    """The same session by other states of its events, as those that one of two records gives alone."""
    ordered = session_turns(
        [
            PartTurns(
                part.block,
                str(part.event_id),
                part.flight,
                states[part.event_id].turns,
                part.further,
                part.moved,
                states[part.event_id].rules.waits_for_the_away,
            )
            for part in view.held
        ]
    )
    queue = []
    for item in ordered:
        event_id, turn = int(item.event), item.turn
        entry = states[event_id].entry(turn.turn.entry)
        person = view.people[event_id][turn.turn.entry]
        away = (entry.away or _("away")) if turn.away else ""
        name = view.events[event_id].name
        queue.append(QueuedTurn(event_id, name, turn.turn, person, turn.board_cm, away, turn.why))
    return replace(view, states=dict(states), queue=tuple(queue))


def queue_of(session: PitSession) -> tuple[QueuedTurn, ...]:
    """The turns of all parts of a session in call order; an athlete away is in it, marked."""
    return session_view(session).queue


def is_triple(event: Event) -> bool:
    return event.discipline == Discipline.TRIPLE_JUMP
