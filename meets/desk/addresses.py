"""Addresses of what comes next in an event."""

from django.urls import reverse

from meets.desk.event.next_step import NextStep
from meets.models import Event


def address_of(step: NextStep, event: Event, meet_slug: str, session_id: int | None = None) -> str:
    """Where the next step of an event is taken."""
    match step.page:
        case "pit:session":
            return reverse(step.page, args=[session_id])
        case "entries:list" | "sheets:list" | "desk:pits":
            return reverse(step.page, args=[meet_slug])
        case _:
            return reverse(step.page, args=[meet_slug, event.pk, *step.args])
