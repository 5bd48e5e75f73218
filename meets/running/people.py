"""Who is here: check-in, not started, late, away and back, withdrawn, added at the pit, cards."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Entry, Event
from meets.running.reads import state_of
from meets.running.record import NewRow, Recorded, record
from meets.running.refusals import Refusal
from scoring.facts import (
    Added,
    Card,
    CheckedIn,
    Confirmed,
    DidNotStart,
    Disqualified,
    Fact,
    Joined,
    Left,
    Returned,
    Withdrew,
)


def _one(event_id: int, fact: Fact, by: str, recorder: str, now: datetime, reason: str = "") -> Recorded:
    return record(event_id=event_id, facts=[NewRow(fact, reason)], by=by, recorder=recorder, now=now)


@transaction.atomic
def check_in(
    *, event_id: int, here: Sequence[str] = (), not_here: Sequence[str] = (), by: str, recorder: str, now: datetime
) -> Recorded | None:
    """Tick athletes as here or not here; only what changes becomes a row. None if nothing changed."""
    event = Event.objects.select_related("meet").get(pk=event_id)
    entries = {entry.line.entry: entry for entry in state_of(event).entries}
    facts: list[NewRow] = []
    for key in here:
        if key in entries and not (entries[key].checked_in and entries[key].status != "DNS"):
            facts.append(NewRow(CheckedIn(key)))
    for key in not_here:
        if key in entries and entries[key].status != "DNS":
            facts.append(NewRow(DidNotStart(key)))
    if not facts:
        return None
    return record(event_id=event_id, facts=facts, by=by, recorder=recorder, now=now)


def did_not_start(*, event_id: int, entry: str, by: str, recorder: str, now: datetime) -> Recorded:
    return _one(event_id, DidNotStart(entry), by, recorder, now)


def join_late(
    *, event_id: int, entry: str, round: int, by: str, recorder: str, now: datetime, reason: str = ""
) -> Recorded:
    """Came late and jumps from `round` on; turns missed before are passes."""
    return _one(event_id, Joined(entry, round), by, recorder, now, reason)


def leave(
    *, event_id: int, entry: str, where: str = "", back_at: str = "", by: str, recorder: str, now: datetime
) -> Recorded:
    """Away with leave; the trial may be taken early or late within the round, not in the last round."""
    return _one(event_id, Left(entry, where[:80], back_at[:20]), by, recorder, now)


def come_back(*, event_id: int, entry: str, by: str, recorder: str, now: datetime) -> Recorded:
    return _one(event_id, Returned(entry), by, recorder, now)


def withdraw(*, event_id: int, entry: str, by: str, recorder: str, now: datetime, reason: str = "") -> Recorded:
    """Takes no more trials; a place at the cut is held."""
    return _one(event_id, Withdrew(entry), by, recorder, now, reason)


@transaction.atomic
def disqualify(*, event_id: int, entry: str, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    """No mark of this event stands; those below move up, the cut is not replayed."""
    if not reason.strip():
        raise Refusal(_("A disqualification needs its reason."))
    return _one(event_id, Disqualified(entry), by, recorder, now, reason)


def show_card(
    *, event_id: int, entry: str, colour: str, by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """A yellow or red card; a second yellow is a red, and red is a disqualification."""
    if colour not in ("yellow", "red"):
        raise Refusal(_("A card is yellow or red."))
    return _one(event_id, Card(entry, colour), by, recorder, now, reason)


@transaction.atomic
def add_at_pit(*, entry: Entry, flight: int, by: str, recorder: str, now: datetime) -> Recorded:
    """Put a pending entry, already stored, on the list of its event: a guest under protest until confirmed."""
    return _one(entry.event_id, Added(str(entry.pk), flight), by, recorder, now)


@transaction.atomic
def confirm_added(*, entry: Entry, by: str, recorder: str, now: datetime, reason: str = "") -> Recorded:
    """The desk has checked an athlete added at the pit: an entry like any other."""
    entry.status = Entry.Status.CONFIRMED
    entry.save(update_fields=["status"])
    return _one(entry.event_id, Confirmed(str(entry.pk)), by, recorder, now, reason)
