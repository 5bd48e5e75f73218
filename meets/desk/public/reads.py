from django.db.models import QuerySet

from athletes.models import Athlete
from meets.models import Meet


def athletes_of(meet: Meet) -> QuerySet[Athlete]:
    """Everybody entered, by name."""
    entered = Athlete.objects.filter(entries__event__meet=meet).distinct()
    return entered.select_related("school").order_by("last_name", "first_name", "pk")
