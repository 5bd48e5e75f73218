"""Addresses of what comes next in an event."""

from django.urls import NoReverseMatch
from django.urls import reverse as strict

from meets.desk.event.next_step import NextStep
from meets.models import Event


def reverse(name, args):
    try:
        return strict(name, args=args)
    except NoReverseMatch:
        return "#"


def address_of(step: NextStep, event: Event, meet_slug: str, session_id: int | None = None) -> str:
    """Where the next step of an event is taken."""
    match step.page:
        case "pit:session":
            return reverse(step.page, args=[session_id])
        case "entries:list" | "sheets:list":
            return reverse(step.page, args=[meet_slug])
        case _:
            return reverse(step.page, args=[meet_slug, event.pk, *step.args])
