"""Addresses of the pages that a next step names."""

from django.urls import NoReverseMatch
from django.urls import reverse as strict

from meets.models import Event


def reverse(name, args):
    try:
        return strict(name, args=args)
    except NoReverseMatch:
        return "#"


def address_of(page: str, event: Event, meet_slug: str, session_id: int | None = None) -> str:
    """`page` as in NextStep: the name of a page, for a single decision followed by its name."""
    name, _space, decision = page.partition(" ")
    match name:
        case "pit:session":
            return reverse(name, args=[session_id])
        case "entries:list" | "sheets:list":
            return reverse(name, args=[meet_slug])
        case "desk:decide":
            return reverse(name, args=[meet_slug, event.pk, decision])
        case _:
            return reverse(name, args=[meet_slug, event.pk])
