"""Published marks become known marks of their athletes: for bests, seeds and the reach check of later meets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.db import transaction

from athletes.models import PastMark
from meets.models import Entry, Event
from meets.records.results import CountedMark, Document, counted_marks, rules_in
from scoring.marks import Unit, mark_in_cm

CHANGING = ("athlete_id", "discipline", "mark_cm", "quarter_inches", "wind_tenths", "jumped_on", "source")


@dataclass(frozen=True, slots=True)
class Copied:
    """How many past marks are new, changed, and gone because they no longer stand."""

    added: int
    changed: int
    removed: int


@transaction.atomic
def copy_bests(event: Event, document: Document) -> Copied:
    """Bring the past marks taken from an event up to date with its published result.

    Every valid mark that counts is taken, not the best alone: the reach check goes by an athlete's poorest one. A mark
    that waits for its wind is taken once that is known, marks from a take-off zone never.
    """
    wanted = {mark.taken_from: mark for mark in _marks(event, document)}
    there = {mark.taken_from: mark for mark in PastMark.objects.filter(taken_from__startswith=_from(event))}
    changed = []
    for name, mark in wanted.items():
        if name in there and any(getattr(there[name], field) != getattr(mark, field) for field in CHANGING):
            mark.pk = there[name].pk
            changed.append(mark)
    gone = [mark.pk for name, mark in there.items() if name not in wanted]
    new = [mark for name, mark in wanted.items() if name not in there]
    PastMark.objects.filter(pk__in=gone).delete()
    PastMark.objects.bulk_update(changed, CHANGING)
    PastMark.objects.bulk_create(new)
    return Copied(len(new), len(changed), len(gone))


def _from(event: Event) -> str:
    return f"event-{event.pk}-"


def _marks(event: Event, document: Document) -> Iterator[PastMark]:
    if rules_in(document).take_off_zone:
        return
    athletes = {str(pk): athlete for pk, athlete in Entry.objects.filter(event=event).values_list("pk", "athlete_id")}
    for line in document["lines"]:
        for one in counted_marks(line) if line["entry"] in athletes else ():
            if one.wind is not None:
                yield _past_mark(event, line["entry"], athletes[line["entry"]], one)


def _past_mark(event: Event, entry: str, athlete_id: int, one: CountedMark) -> PastMark:
    unit = Unit(event.meet.unit)
    return PastMark(
        athlete_id=athlete_id,
        discipline=event.discipline,
        mark_cm=mark_in_cm(one.mark, unit),
        quarter_inches=one.mark if unit is Unit.QUARTER_INCH else None,
        wind_tenths=one.wind.tenths if one.wind else None,
        jumped_on=event.meet.date,
        source=event.meet.name[:80],
        taken_from=f"{_from(event)}{entry}-{one.round}-{one.replacement}",
    )
