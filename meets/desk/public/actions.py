from collections.abc import Collection

from django.db import transaction

from meets.desk.public.reads import athletes_of
from meets.models import Meet


@transaction.atomic
def show_to_the_public(*, meet: Meet, not_shown: Collection[int]) -> None:
    """Store whether and how the public sees a meet, and who of those entered is never named."""
    meet.save(update_fields=["is_public", "public_names"])
    for athlete in athletes_of(meet):
        if athlete.not_public != (athlete.pk in not_shown):
            athlete.not_public = not athlete.not_public
            athlete.save(update_fields=["not_public"])
