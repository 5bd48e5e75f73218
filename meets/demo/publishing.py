"""The evening of the demonstration day: results are posted, become official, and one is amended."""

from collections.abc import Callable
from datetime import datetime, timedelta

from meets.demo.day import OFFICIALS
from meets.models import Event, Meet, Publication
from meets.publishing.actions import publish, publish_standings
from meets.publishing.packs.actions import make_packs
from meets.publishing.standing import standing_of
from meets.running import actions
from meets.running.actions import DESK

POSTED_AFTER, AMENDED_AFTER = timedelta(minutes=6), timedelta(hours=3)
WAITING = 2
"""So many of the last events stay provisional, for whoever looks at the demonstration to make them official."""

AMENDED = ("LJ", "boys", "U14")
NOT_ENTITLED = "entered for a school that the athlete has left"
ORGANISER, REFEREE = OFFICIALS[1], OFFICIALS[2]

Progress = Callable[[int, int], None]
"""Called with how many versions are published, or packs made, and how many there will be."""


def publish_day(*, meet: Meet, base: str = "", progress: Progress = lambda done, total: None) -> int:
    """Publish the results of a meet that has been played, and show it to the public. Answers how many versions."""
    Meet.objects.filter(pk=meet.pk).update(is_public=True)
    meet.refresh_from_db()
    events = list(meet.events.all())
    official = events[: len(events) - WAITING]
    total, done = len(events) + len(official) + 3, 0

    def count() -> None:
        nonlocal done
        done += 1
        progress(done, total)

    evening = max(_over_at(event) for event in events)
    for event in events:
        event.meet = meet
        publish(event, status="provisional", by=ORGANISER, now=_over_at(event) + POSTED_AFTER, base=base)
        count()
    for event in official:
        publish(event, status="official", by=ORGANISER, now=_official_at(event), base=base)
        count()
    publish_standings(meet, by=ORGANISER, now=evening + timedelta(hours=1), base=base)
    count()
    amended = next(event for event in official if (event.discipline, event.category, event.age_group) == AMENDED)
    _amend(amended, evening + AMENDED_AFTER, base)
    count()
    publish_standings(meet, by=ORGANISER, now=evening + AMENDED_AFTER, base=base)
    count()
    return done


def pack_day(*, meet: Meet, base: str = "", progress: Progress | None = None) -> int:
    """Make the packs of all schools, ready to be sent. Answers how many."""
    now = meet.publications.latest("at").at
    return len(make_packs(meet=meet, now=now, base=base, progress=progress).new)


def _over_at(event: Event) -> datetime:
    return event.log.order_by("-rev").values_list("at", flat=True)[0]


def _official_at(event: Event) -> datetime:
    """When the time for protests is over, with what an organiser needs to see that."""
    newest = event.publications.latest("version")
    return (newest.protests_until or newest.at) + timedelta(minutes=2)


def _amend(event: Event, now: datetime, base: str) -> Publication:
    """The third turns out not to be entitled, hours later: those below move up, the cut stays as it was."""
    third = next(line for line in standing_of(event, now).draft["lines"] if line["place"] == 3)
    actions.disqualify(event_id=event.pk, entry=third["entry"], by=REFEREE, recorder=DESK, now=now, reason=NOT_ENTITLED)
    reason = f"Bib {third['bib']}: {NOT_ENTITLED}"
    return publish(event, status="amended", by=ORGANISER, now=now, reason=reason, base=base)
