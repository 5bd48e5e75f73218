from django.db.models import Count, Q, QuerySet

from athletes.models import School
from meets.models import Meet


def schools_of(meet: Meet) -> QuerySet[School]:
    """Every school, with the number of its entries in this meet."""
    return School.objects.annotate(
        entry_count=Count("athletes__entries", filter=Q(athletes__entries__event__meet=meet), distinct=True)
    ).order_by("name")
