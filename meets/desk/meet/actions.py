from itertools import count
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils.text import slugify

from meets.desk.clock import on_the_day
from meets.models import Meet, PitSession

# Words that stand in the place of a meet's short name in addresses of the desk.
TAKEN = frozenset({"new", "sign-in", "sign-out"})


@transaction.atomic
def create_meet(*, meet: Meet) -> Meet:
    """Store a new meet under a short name made from its name."""
    meet.slug = free_slug(name=meet.name)
    meet.save()
    return meet


@transaction.atomic
def change_meet(*, meet: Meet) -> Meet:
    """Store changed settings. Times of events and sessions keep their clock on another day or in another zone."""
    before = Meet.objects.get(pk=meet.pk)
    meet.save()
    if (before.date, before.time_zone) != (meet.date, meet.time_zone):
        zone = ZoneInfo(before.time_zone)
        for event in meet.events.all():
            event.report_at, event.starts_at = (
                on_the_day(meet, at and at.astimezone(zone).time()) for at in (event.report_at, event.starts_at)
            )
            event.save(update_fields=["report_at", "starts_at"])
        for session in PitSession.objects.filter(pit__meet=meet, starts_at__isnull=False):
            session.starts_at = on_the_day(meet, session.starts_at.astimezone(zone).time())
            session.save(update_fields=["starts_at"])
    return meet


@transaction.atomic
def remove_meet(*, meet: Meet) -> None:
    """Remove a meet with its events, entries, pits and sessions; schools and athletes stay.

    The page has refused one with a log, and the database does so again.
    """
    PitSession.objects.filter(pit__meet=meet).delete()
    meet.delete()


def free_slug(*, name: str) -> str:
    """A short name for addresses that no other meet has: `autumn-jumps`, `autumn-jumps-2`, ..."""
    stem = slugify(name)[:40].strip("-") or "meet"
    for number in count(1):
        slug = stem if number == 1 else f"{stem}-{number}"
        if slug not in TAKEN and not Meet.objects.filter(slug=slug).exists():
            return slug
    raise AssertionError("count() has no end")
