"""Lives of the database: phones send everything again when a new one has begun."""

from datetime import datetime
from uuid import UUID

from django.utils import timezone

from meets.models import ServerEpoch
from meets.running.write_lock import one_writer


def current_epoch() -> UUID:
    """The life that counts now; the first is begun when somebody asks."""
    known = ServerEpoch.objects.order_by("-begun_at").values_list("epoch", flat=True).first()
    return known or new_epoch(timezone.now())


def new_epoch(now: datetime) -> UUID:
    """Begin another life, as after a backup was restored."""
    with one_writer():
        return ServerEpoch.objects.create(begun_at=now).epoch
