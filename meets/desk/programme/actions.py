from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import time
from itertools import product

from django.db import transaction
from django.db.models import Max

from meets.desk.clock import on_the_day
from meets.desk.programme.reads import NewEvent
from meets.models import Event, Meet


@dataclass(frozen=True)
class Added:
    """What adding many events did."""

    added: tuple[str, ...]
    there_already: tuple[str, ...]


@transaction.atomic
def add_events(
    *,
    meet: Meet,
    disciplines: Iterable[str],
    categories: Iterable[str],
    age_groups: Iterable[str],
    boards_cm: Mapping[str, list[int]],
) -> Added:
    """Add every combination that the meet does not have yet, at the end of the programme."""
    there = {(e.discipline, e.category, e.age_group): e.name for e in meet.events.all()}
    position = meet.events.aggregate(last=Max("position"))["last"] or 0
    added, already = [], []
    for age_group, discipline, category in product(age_groups, disciplines, categories):
        new = NewEvent(discipline, category, age_group)
        if (discipline, category, age_group) in there:
            already.append(there[discipline, category, age_group])
            continue
        position += 1
        Event.objects.create(
            meet=meet,
            name=new.name,
            discipline=discipline,
            category=category,
            age_group=age_group,
            boards_cm=list(boards_cm.get(discipline, [])),
            position=position,
        )
        added.append(new.name)
    return Added(tuple(added), tuple(already))


@transaction.atomic
def set_times(*, meet: Meet, times: Mapping[int, tuple[time | None, time | None]]) -> None:
    """Give events their report and start time on the day of the meet, and the programme its order by start.

    `times`: report and start by the event's id. Events without a start keep their order, after the others.
    """
    events = list(meet.events.all())
    for event in events:
        report, start = times.get(event.pk, (None, None))
        event.report_at, event.starts_at = on_the_day(meet, report), on_the_day(meet, start)
    events.sort(key=lambda e: (e.starts_at is None, e.starts_at or 0, e.position, e.pk))
    for position, event in enumerate(events, 1):
        event.position = position
    Event.objects.bulk_update(events, ["report_at", "starts_at", "position"])


@transaction.atomic
def remove_event(*, event: Event) -> None:
    """Remove an event that has neither entries nor a log; the form has seen to that."""
    event.session_parts.all().delete()
    event.delete()
