from datetime import datetime

from django.db import transaction

from meets.models import Meet, Penalty


def take_points(*, meet: Meet, penalty: Penalty, by: str, now: datetime) -> Penalty:
    """Store a penalty with who decided it and when; the points of the places stay as they are."""
    penalty.meet, penalty.by, penalty.at = meet, by[:80], now
    penalty.save()
    return penalty


@transaction.atomic
def give_back(*, penalty: Penalty, by: str, now: datetime, reason: str) -> Penalty:
    """Take a penalty back: it no longer counts and is kept, with who did it, when and why."""
    found = Penalty.objects.select_for_update().get(pk=penalty.pk)
    found.taken_back_at, found.taken_back_by, found.taken_back_reason = now, by[:80], reason
    found.save()
    return found
