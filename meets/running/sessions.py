"""Which flights of which events a pit session holds: its own, less those moved away, plus those moved in."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime

from django.db.models import Prefetch, QuerySet
from django.db.models.fields.json import KT

from meets.models import Event, LogRow, PitSession, SessionPart
from scoring.state import EventState

_WITH_PARTS = Prefetch("session_parts", SessionPart.objects.select_related("session__pit"))
_AT_LAST = datetime.max.replace(tzinfo=UTC)


@dataclass(slots=True)
class Held:
    """A flight (0: all but those in `moved`) that a session holds. `further`: the trials after the cut too."""

    event_id: int
    block: int
    flight: int
    further: bool
    moved: tuple[int, ...] = ()


@dataclass(slots=True)
class _Homes:
    """Where the flights of an event are: what is left of each part of the programme, and what came where."""

    gone: dict[int, list[int]] = field(default_factory=dict)
    """Primary key of a part -> flights that have left it."""
    came: dict[int, list[int]] = field(default_factory=dict)
    """Primary key of a session -> flights that go on in it."""
    further: int | None = None
    """The session that holds the trials after the cut."""


def events_of(session: PitSession) -> list[Event]:
    """Events with a part in this session, in its order, then those of which a flight may have been moved to its pit."""
    parts = session.parts.select_related("event__meet").prefetch_related("event__session_parts__session__pit")
    own = {part.event_id: part.event for part in parts}
    return [*own.values(), *_perhaps_moved_to(session).exclude(pk__in=own)]


def _perhaps_moved_to(session: PitSession) -> QuerySet[Event]:
    moved = Event.objects.filter(meet=session.pit.meet_id, log__kind="flight_moved", log__values__pit=session.pit.name)
    return moved.distinct().select_related("meet").prefetch_related(_WITH_PARTS).order_by("position", "pk")


def moved_to(event_id: int, meet_id: int) -> QuerySet[PitSession]:
    """Sessions at the pits to which a flight of an event was ever moved, also those that it has left again: whoever
    wrote there wrote for it."""
    rows = LogRow.objects.filter(event=event_id, kind="flight_moved").annotate(pit=KT("values__pit"))
    return PitSession.objects.filter(pit__meet=meet_id, pit__name__in=rows.values("pit"))


def held_by(session: PitSession, events: Iterable[Event], states: Mapping[int, EventState]) -> list[Held]:
    """What a session holds, in order. A flight that was moved in comes behind all else, in a block of its own."""
    events = list(events)
    others = list(_sessions_beside(session)) if any(states[event.pk].moved for event in events) else []
    parts = {event.pk: list(event.session_parts.all()) for event in events}
    homes = {pk: _homes(own, states[pk], others) for pk, own in parts.items()}
    held = [
        one
        for part in _parts_of(session, parts)
        for pk in [part.event_id]
        if (one := _left_of(part, parts[pk], homes[pk], states[pk]))
    ]
    block = max((one.block for one in held), default=0)
    for event_id, home in homes.items():
        came = sorted(home.came.get(session.pk, ()))
        for flight in came:
            block += 1
            held.append(Held(event_id, block, flight, home.further == session.pk and flight == came[-1]))
    return held


def sessions_of(event: Event, state: EventState) -> list[tuple[int, PitSession]]:
    """Where an event is held now: flight and session, as `held_in` says."""
    parts = list(event.session_parts.select_related("session__pit"))
    others = PitSession.objects.filter(pit__meet=event.meet_id).select_related("pit") if state.moved else ()
    return held_in(parts, state, list(others))


def held_in(
    parts: Sequence[SessionPart], state: EventState, sessions: Sequence[PitSession]
) -> list[tuple[int, PitSession]]:
    """Each flight (0: all that are not named) and the session that holds it now: by the programme, then those moved.

    `parts`: those of one event; `sessions`: all of its meet, from which a flight may have gone on in another.
    """
    homes = _homes(parts, state, sessions)
    by_pk = {session.pk: session for session in sessions}
    stayed = [(part.flight, part.session) for part in parts if _left_of(part, parts, homes, state)]
    return [*stayed, *((flight, by_pk[pk]) for pk, flights in homes.came.items() for flight in sorted(flights))]


def _sessions_beside(session: PitSession) -> QuerySet[PitSession]:
    return PitSession.objects.filter(pit__meet=session.pit.meet_id).select_related("pit")


def _parts_of(session: PitSession, by_event: Mapping[int, Iterable[SessionPart]]) -> list[SessionPart]:
    parts = [part for own in by_event.values() for part in own if part.session_id == session.pk]
    order = {pk: place for place, pk in enumerate(session.parts.values_list("pk", flat=True))}
    return sorted(parts, key=lambda part: order[part.pk])


def _left_of(part: SessionPart, parts: Iterable[SessionPart], home: _Homes, state: EventState) -> Held | None:
    """What is left of one part; `parts`: all those of its event."""
    gone = tuple(home.gone.get(part.pk, ()))
    further = home.further == part.session_id and part.pk == _holder(parts).pk
    if _all_gone(part, gone, state) and not further:
        return None
    return Held(part.event_id, part.block, part.flight, further, gone)


def _all_gone(part: SessionPart, gone: Sequence[int], state: EventState) -> bool:
    flights = {part.flight} if part.flight else set(range(1, len(state.flights) + 1))
    return bool(gone) and flights <= set(gone)


def _homes(parts: Sequence[SessionPart], state: EventState, sessions: Sequence[PitSession]) -> _Homes:
    homes = _Homes()
    if not parts:
        return homes
    goes_to: dict[int, int] = {}
    for flight, pit in state.moved:
        part = next((p for p in parts if p.flight == flight), None) or next((p for p in parts if not p.flight), None)
        session = None if part is None else _session_at(pit, part, parts, sessions)
        if session is not None and session.pk != part.session_id:
            homes.gone.setdefault(part.pk, []).append(flight)
            homes.came.setdefault(session.pk, []).append(flight)
            goes_to[part.pk] = session.pk
    holder = _holder(parts)
    all_gone = _all_gone(holder, homes.gone.get(holder.pk, ()), state)
    homes.further = goes_to[holder.pk] if all_gone else holder.session_id
    return homes


def _holder(parts: Iterable[SessionPart]) -> SessionPart:
    """The part that holds the trials after the cut: the one ticked, else that of the last flight."""
    return max(parts, key=lambda part: (part.further_trials, part.flight, part.pk))


def _session_at(
    pit: str, part: SessionPart, parts: Sequence[SessionPart], sessions: Iterable[PitSession]
) -> PitSession | None:
    """The session in which a flight goes on at a pit: one that holds the event already, else the one that is on then.

    None if the pit has no session, as nobody would call the flight there.
    """
    there = sorted((s for s in sessions if s.pit.name == pit), key=_start)
    with_event = {other.session_id for other in parts}
    known = [session for session in there if session.pk in with_event]
    on_then = [session for session in there if _start(session) <= _start(part.session)]
    if part.session in there:
        return part.session
    return known[0] if known else on_then[-1] if on_then else there[0] if there else None


def _start(session: PitSession) -> tuple[datetime, int]:
    return (session.starts_at or _AT_LAST, session.pk)
