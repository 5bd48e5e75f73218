"""What sheets know of an event and a meet: the only place here that asks the database."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import reduce
from operator import or_

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.utils.translation import gettext as _

from meets.entries.bibs import bib_order
from meets.models import Entry, Event, LogRow, Meet, PitSession, SessionPart
from meets.records.reads import Honours, RecordLine, StandardLine, honours_of, records_of, standards_of
from meets.running.reads import Person, entries_of, is_triple, people_of, rows_of, state_of
from meets.running.sessions import sessions_of
from meets.running.team_points import Standings, points_of, schools_in_match, standings_of
from meets.sheets.documents import About
from meets.sheets.wording import clock, format_in_words, full_date, printed_at
from scoring.log import Standing, standing
from scoring.marks import Unit
from scoring.rulesets import RuleSet
from scoring.state import EventState


@dataclass(frozen=True, slots=True)
class FlightPlace:
    """A flight, its entries in order, and where and when it is held if that differs between flights."""

    entries: tuple[str, ...]
    pit: str = ""
    starts_at: str = ""


@dataclass(frozen=True, slots=True)
class Known:
    """Everything that the sheets of one event are made of."""

    number: str
    about: About
    state: EventState
    log: Standing
    rules: RuleSet
    unit: Unit
    zone: str
    triple: bool
    people: dict[str, Person]
    flights: tuple[FlightPlace, ...]
    also_in: dict[str, tuple[str, ...]]
    honours: dict[str, Honours]
    records: tuple[RecordLine, ...]
    standards: tuple[StandardLine, ...]
    points: dict[str, str]
    schools_in_match: int
    only_board_cm: int | None
    gauge: str


@dataclass(frozen=True, slots=True)
class EventSheets:
    """An event on the page of sheets: what there is to print."""

    event_id: int
    name: str
    starts_at: datetime | None
    entries: int
    drawn: bool
    begun: bool
    closed: bool


def events(meet: Meet) -> QuerySet[Event]:
    return meet.events.select_related("meet")


def event_sheets(meet: Meet) -> list[EventSheets]:
    """Every event of the meet with how far it is, in one query."""

    def has(kind: str) -> Exists:
        return Exists(LogRow.objects.filter(event=OuterRef("pk"), kind=kind))

    in_it = Count("entries", filter=~Q(entries__status=Entry.Status.WITHDRAWN))
    first_session = (
        SessionPart.objects.filter(event=OuterRef("pk"), session__starts_at__isnull=False)
        .order_by("session__starts_at")
        .values("session__starts_at")[:1]
    )
    starts = Coalesce("starts_at", Subquery(first_session))
    rows = meet.events.annotate(
        starts=starts, in_it=in_it, drawn=has("drawn"), begun=has("jumped"), closed=has("closed")
    )
    return [
        EventSheets(event.pk, event.name, event.starts, event.in_it, event.drawn, event.begun, event.closed)
        for event in rows
    ]


def known(event: Event, now: datetime, paper: str = "") -> Known:
    """All of an event that a sheet may show."""
    meet, zone = event.meet, event.meet.time_zone
    entries = entries_of(event)
    state = state_of(event, entries)
    unit = Unit(meet.unit)
    parts = list(event.session_parts.select_related("session__pit"))
    homes = sessions_of(event, state)
    pits = list(dict.fromkeys(session.pit.name for _flight, session in homes))
    starts = event.starts_at or min((p.session.starts_at for p in parts if p.session.starts_at), default=None)
    about = About(
        meet=meet.name,
        event=event.name,
        date=full_date(meet.date),
        pit=", ".join(pits),
        report_at=clock(event.report_at, zone),
        starts_at=clock(starts, zone),
        format=format_in_words(state.rules, unit),
        together_with=_together(event, parts),
        version=_version(state),
        printed=printed_at(now, zone),
        paper=paper or meet.paper,
    )
    in_match = schools_in_match(meet)
    boards = event.boards_cm or (homes[0][1].pit.boards_cm if len(pits) == 1 else [])
    return Known(
        number=str(event.pk),
        about=about,
        state=state,
        log=standing(rows_of(event)),
        rules=state.rules,
        unit=unit,
        zone=zone,
        triple=is_triple(event),
        people=people_of(event, entries),
        flights=_flights(state, entries, homes, parts, zone),
        also_in=_also_in(event, entries, zone),
        honours=honours_of(event, state, entries),
        records=records_of(event),
        standards=standards_of(event),
        points=points_of(event, state, in_match),
        schools_in_match=in_match,
        only_board_cm=boards[0] if len(boards) == 1 else None,
        gauge=", ".join(dict.fromkeys(session.pit.gauge for _flight, session in homes if session.pit.gauge)),
    )


@dataclass(frozen=True, slots=True)
class TeamsKnown:
    """The team standings with what stands around them on paper."""

    about: About
    standings: Standings
    still_open: tuple[str, ...]


def teams_known(meet: Meet, now: datetime, paper: str = "") -> TeamsKnown:
    found = standings_of(meet)
    over = _("after %(finished)d of %(total)d events") % {"finished": found.finished, "total": found.total}
    about = About(
        meet=meet.name,
        event=_("All events"),
        date=full_date(meet.date),
        version=over,
        printed=printed_at(now, meet.time_zone),
        paper=paper or meet.paper,
    )
    return TeamsKnown(about, found, found.still_open)


def _version(state: EventState) -> str:
    if not state.draw_version:
        return _("start list not drawn yet")
    return _("start list version %(version)d") % {"version": state.draw_version}


def _together(event: Event, parts: list[SessionPart]) -> str:
    """Other events in the same block of a pit session: they jump in one order."""
    if not parts:
        return ""
    lists = [Q(session=part.session_id, block=part.block) for part in parts]
    others = (
        SessionPart.objects.filter(reduce(or_, lists))
        .exclude(event=event)
        .values_list("event__name", flat=True)
        .distinct()
        .order_by("event__position", "event__name")
    )
    names = ", ".join(dict.fromkeys(others))
    return _("Jumps together with %(events)s") % {"events": names} if names else ""


def _flights(
    state: EventState,
    entries: list[Entry],
    homes: Sequence[tuple[int, PitSession]],
    parts: Sequence[SessionPart],
    zone: str,
) -> tuple[FlightPlace, ...]:
    """The flights as drawn, each with the pit that has it now; before the draw everybody in order of bibs.

    One that has gone on elsewhere begins there when there is room: it has no time of its own any more.
    """
    flights = state.flights or (
        tuple(str(entry.pk) for entry in sorted(entries, key=lambda entry: bib_order(entry.bib))),
    )
    now, planned = dict(homes), {(part.flight, part.session_id) for part in parts}
    pits = {session.pit_id for session in now.values()}
    found = []
    for number, flight in enumerate(flights, 1):
        session = now.get(number, now.get(0))
        apart = session is not None and len(homes) > 1
        found.append(
            FlightPlace(
                flight,
                session.pit.name if apart and len(pits) > 1 else "",
                clock(session.starts_at, zone) if apart and (number, session.pk) in planned else "",
            )
        )
    return tuple(found)


def _also_in(event: Event, entries: list[Entry], zone: str) -> dict[str, tuple[str, ...]]:
    """Other events of the same athletes with their start, by entry."""
    others = (
        Entry.objects.filter(event__meet=event.meet_id, athlete__in=[entry.athlete_id for entry in entries])
        .exclude(status=Entry.Status.WITHDRAWN)
        .exclude(event=event)
        .order_by("event__position", "event")
        .values_list("athlete", "event__name", "event__starts_at")
    )
    found: dict[int, tuple[str, ...]] = {}
    for athlete, name, starts_at in others:
        found[athlete] = (*found.get(athlete, ()), f"{name} {clock(starts_at, zone)}".strip())
    return {str(entry.pk): found[entry.athlete_id] for entry in entries if entry.athlete_id in found}


def papers() -> list[str]:
    """The papers that a meet may be printed on."""
    return list(Meet.Paper.values)
