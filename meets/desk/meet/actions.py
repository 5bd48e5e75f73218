from itertools import count

from django.db import transaction
from django.utils.text import slugify

from meets.models import Meet

# Words that stand in the place of a meet's short name in addresses of the desk.
TAKEN = frozenset({"new", "sign-in", "sign-out"})


@transaction.atomic
def create_meet(*, meet: Meet) -> Meet:
    """Store a new meet under a short name made from its name."""
    meet.slug = free_slug(meet.name)
    meet.save()
    return meet


def free_slug(name: str) -> str:
    """A short name for addresses that no other meet has: `autumn-jumps`, `autumn-jumps-2`, ..."""
    stem = slugify(name)[:40].strip("-") or "meet"
    for number in count(1):
        slug = stem if number == 1 else f"{stem}-{number}"
        if slug not in TAKEN and not Meet.objects.filter(slug=slug).exists():
            return slug
    raise AssertionError("count() has no end")
