"""What is published of a meet."""

from django.db.models import OuterRef, QuerySet, Subquery

from meets.models import Event, Meet, Publication


def latest(meet: Meet) -> dict[int | None, Publication]:
    """The newest version for each event by its id, and under None that of the team standings. Without PDF and CSV."""
    found = {publication.event_id: publication for publication in newest_of_events(meet)}
    standings = meet.publications.filter(event__isnull=True).defer("pdf", "csv").order_by("-version").first()
    return found | {None: standings} if standings else found


def versions_of(meet: Meet, event: Event | None) -> list[Publication]:
    """Every version of an event's result, or of the team standings, the oldest first. Without PDF and CSV."""
    return list(meet.publications.filter(event=event).defer("pdf", "csv").order_by("version"))


def one_version(meet: Meet, event: Event | None, version: int | None) -> Publication | None:
    """A version with its PDF and CSV, the newest without a number."""
    found = meet.publications.filter(event=event).select_related("event").order_by("version")
    return (found if version is None else found.filter(version=version)).last()


def newest_of_events(meet: Meet) -> QuerySet[Publication]:
    """In the order of the programme."""
    newest = Publication.objects.filter(event=OuterRef("event")).order_by("-version").values("pk")[:1]
    found = meet.publications.filter(event__isnull=False, pk=Subquery(newest))
    return found.defer("pdf", "csv").select_related("event").order_by("event__position", "event")
