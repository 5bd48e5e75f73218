from django.db.models import Count, Q, QuerySet

from athletes.models import School
from meets.models import Meet, Publication


def schools_of(meet: Meet) -> QuerySet[School]:
    """Every school, with the number of its entries in this meet."""
    return School.objects.annotate(
        entry_count=Count("athletes__entries", filter=Q(athletes__entries__event__meet=meet), distinct=True)
    ).order_by("name")


def is_in_a_result(school: School) -> bool:
    """Whether somebody of the school is entered in an event of which a result is published."""
    return Publication.objects.filter(event__entries__athlete__school=school).exists()
