"""Bibs: text that belongs to an entry, worn by one athlete alone in an event and in what shares its pit session."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import count

from django.db import transaction

from athletes.models import Athlete
from meets.models import Entry, Event, Meet, SessionPart


def bib_order(bib: str) -> tuple[int, int, str]:
    """What to sort bibs by: numbers as numbers, then the others."""
    return (0, int(bib), "") if bib.isdecimal() else (1, 0, bib)


@dataclass(frozen=True, slots=True)
class Assigned:
    """How many entries got a bib, and how many had one already."""

    given: int
    kept: int


@transaction.atomic
def assign_bibs(*, meet: Meet) -> Assigned:
    """Number the athletes of a meet through, school by school: one number for each, in all their events.

    Bibs that are there stay, and an athlete who has one in another event gets the same if nobody else wears it.
    """
    Meet.objects.select_for_update().get(pk=meet.pk)
    entries = list(
        Entry.objects.filter(event__meet=meet)
        .exclude(status=Entry.Status.WITHDRAWN)
        .select_related("athlete")
        .order_by("athlete__school__code", "athlete__last_name", "athlete__first_name", "athlete_id", "event__position")
    )
    beside = _beside(meet)
    worn: defaultdict[int, dict[str, int]] = defaultdict(dict)
    own: defaultdict[int, list[str]] = defaultdict(list)
    for event_id, bib, athlete_id in _given(meet):
        worn[event_id][bib] = athlete_id
        own[athlete_id].append(bib)
    taken = {bib for bibs in worn.values() for bib in bibs}
    numbers = (str(number) for number in count(1) if str(number) not in taken)
    without = [entry for entry in entries if not entry.bib]
    for entry in without:
        near = [worn[event_id] for event_id in beside[entry.event_id]]
        free = (
            bib
            for bib in own[entry.athlete_id]
            if all(bibs.get(bib, entry.athlete_id) == entry.athlete_id for bibs in near)
        )
        entry.bib = _own_or_next(free, numbers)
        worn[entry.event_id][entry.bib] = entry.athlete_id
        own[entry.athlete_id].append(entry.bib)
    Entry.objects.bulk_update(without, ["bib"], batch_size=500)
    return Assigned(len(without), len(entries) - len(without))


def _own_or_next(own: Iterator[str], numbers: Iterator[str]) -> str:
    bib = next(own, "")
    return bib or next(numbers)


def _given(meet: Meet) -> Iterable[tuple[int, str, int]]:
    given = Entry.objects.filter(event__meet=meet).exclude(bib="").order_by("pk")
    return given.values_list("event_id", "bib", "athlete_id")


def _beside(meet: Meet) -> dict[int, set[int]]:
    """Every event with those that share a pit session with it, itself included."""
    sessions: defaultdict[int, set[int]] = defaultdict(set)
    for session_id, event_id in SessionPart.objects.filter(event__meet=meet).values_list("session_id", "event_id"):
        sessions[session_id].add(event_id)
    beside = {event_id: {event_id} for event_id in Event.objects.filter(meet=meet).values_list("pk", flat=True)}
    for events in sessions.values():
        for event_id in events:
            beside[event_id] |= events
    return beside


def wearer_of(event: Event, bib: str, *, other_than: Athlete) -> Entry | None:
    """Who else wears this bib in the event, or in an event that shares a pit session with it."""
    shared = SessionPart.objects.filter(session__parts__event=event).values("event")
    wearing = Entry.objects.filter(bib=bib).exclude(athlete=other_than).select_related("athlete", "event")
    return (wearing.filter(event=event) | wearing.filter(event__in=shared)).order_by("pk").first()
