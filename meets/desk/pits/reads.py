"""Pits and pit sessions of a meet as their pages show them."""

from dataclasses import dataclass

from django.db.models import Count, QuerySet
from django.utils.translation import gettext as _

from meets.models import Event, LogRow, Meet, Pit, PitSession, SessionPart


def pits_of(meet: Meet) -> QuerySet[Pit]:
    return meet.pits.annotate(session_count=Count("sessions"))


def sessions_of(meet: Meet) -> list[PitSession]:
    """Every session in order of start, with its parts and their events."""
    return list(
        PitSession.objects.filter(pit__meet=meet)
        .select_related("pit")
        .prefetch_related("parts__event")
        .order_by("starts_at", "pit__name", "pk")
    )


def without_session(meet: Meet) -> list[Event]:
    """Events of which no flight is in any session."""
    return list(meet.events.filter(session_parts__isnull=True))


@dataclass(frozen=True)
class PartLine:
    """What a session may take: an event with all its flights (0), or one flight of it."""

    event: Event
    flight: int
    block: int | None = None
    elsewhere: str = ""
    further_trials: bool = False
    of_several: bool = False

    @property
    def key(self) -> str:
        return f"{self.event.pk}_{self.flight}"

    @property
    def says(self) -> str:
        if not self.flight:
            return self.event.name
        return _("%(event)s, flight %(flight)d only") % {"event": self.event.name, "flight": self.flight}


def part_lines(meet: Meet, session: PitSession | None) -> list[PartLine]:
    """Everything that a session may take, with the block it is in or the session that has it already."""
    parts = SessionPart.objects.filter(event__meet=meet).select_related("session")
    by_key = {(part.event_id, part.flight): part for part in parts}
    flights = _flights_drawn(meet)
    lines = []
    for event in meet.events.all():
        numbers = [0, *range(1, flights.get(event.pk, 0) + 1)] if flights.get(event.pk, 0) > 1 else [0]
        taken = sorted(flight for key, flight in by_key if key == event.pk and flight not in numbers)
        for flight in [*numbers, *taken]:
            part = by_key.get((event.pk, flight))
            own = part is not None and session is not None and part.session_id == session.pk
            lines.append(
                PartLine(
                    event,
                    flight,
                    block=part.block if own else None,
                    elsewhere="" if own or not part else part.session.name,
                    further_trials=own and part.further_trials,
                    of_several=len(numbers) > 1 and flight > 0,
                )
            )
    return lines


def _flights_drawn(meet: Meet) -> dict[int, int]:
    """How many flights the last draw of each event has."""
    rows = LogRow.objects.filter(event__meet=meet, kind="drawn").order_by("event", "rev")
    return {event_id: len(values["flights"]) for event_id, values in rows.values_list("event_id", "values")}


def started(session: PitSession) -> bool:
    """Whether somebody has jumped in an event of this session."""
    return LogRow.objects.filter(kind="jumped", event__session_parts__session=session).exists()
