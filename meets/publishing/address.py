"""The public address of a result, as it stands on paper and in codes."""

from django.conf import settings
from django.urls import reverse

from meets.models import Event, Meet


def base_address(base: str = "") -> str:
    """Where people find this server: as it was told, else `base`; empty if neither is known."""
    return (getattr(settings, "NEAREST_BREAK_ADDRESS", "") or base).rstrip("/")


def public_address(meet: Meet, event: Event | None, base: str = "") -> str:
    """The page of the newest version of an event's result, or of the team standings."""
    found = base_address(base)
    if not found:
        return ""
    name, parts = ("event", [meet.slug, event.pk]) if event else ("teams", [meet.slug])
    return found + reverse(f"results:{name}", args=parts)
