"""How an event goes on: flights joined or moved, breaks, fewer rounds, no end at all, another rule for all alike."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Pit
from meets.running.reads import state_of
from meets.running.reasons import need_reason, record_with_reason
from meets.running.record import NewRow, Recorded, locked, record
from meets.running.refusals import Refusal
from scoring.facts import Abandoned, BoardSet, FlightMoved, FlightsMerged, Resumed, RuleChanged, Shortened, Suspended
from scoring.state import EventState


@transaction.atomic
def merge_flights(
    *, event_id: int, round: int, order: Sequence[str], by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """From `round` on flights jump in one order; earlier rounds keep theirs."""
    return record_with_reason(event_id, FlightsMerged(round, tuple(order)), by, recorder, now, reason)


@transaction.atomic
def move_flight(
    *, event_id: int, flight: int, pit: str, by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """A flight goes on at another pit, after a completed round; wind alone is no reason.

    It is in the list of that pit's session from now on. Where the pit has one board only, athletes jump from it.
    """
    event = locked(event_id)
    state = state_of(event)
    if not 1 <= flight <= len(state.flights):
        raise Refusal(_("%(event)s has no flight %(flight)s.") % {"event": event.name, "flight": flight})
    place = Pit.objects.filter(meet=event.meet_id, name=pit).first()
    if place is None:
        raise Refusal(_("This meet has no pit named %(pit)s.") % {"pit": pit})
    if event.session_parts.exists() and not place.sessions.exists():
        says = _(
            "Nobody works at %(pit)s: make a session for it at the desk first, so that the flight is called there."
        )
        raise Refusal(says % {"pit": pit})
    need_reason(reason)
    only = place.boards_cm[0] if len(place.boards_cm) == 1 else None
    boards = [
        NewRow(BoardSet(entry, only), reason)
        for entry in state.flights[flight - 1]
        if only and state.entry(entry).board_cm not in (None, only)
    ]
    facts = [NewRow(FlightMoved(flight, pit), reason), *boards]
    return record(event_id=event_id, facts=facts, by=by, recorder=recorder, now=now)


def suspend(
    *, event_id: int, by: str, recorder: str, now: datetime, reason: str = "", safety: bool = False
) -> Recorded:
    """Nobody jumps until it is resumed."""
    return record(event_id=event_id, facts=[NewRow(Suspended(safety), reason)], by=by, recorder=recorder, now=now)


def resume(*, event_id: int, by: str, recorder: str, now: datetime) -> Recorded:
    return record(event_id=event_id, facts=[NewRow(Resumed())], by=by, recorder=recorder, now=now)


@transaction.atomic
def shorten(*, event_id: int, last_round: int, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    """No round after `last_round`, for all alike."""
    state = state_of(locked(event_id))
    if last_round > state.rounds:
        raise Refusal(_("The event has no round after round %(round)s as it is.") % {"round": state.rounds})
    begun = last_round_begun(state)
    if last_round < begun:
        raise Refusal(_("Round %(round)s has begun: end after it, or abandon the event.") % {"round": begun})
    return record_with_reason(event_id, Shortened(last_round), by, recorder, now, reason)


@transaction.atomic
def abandon(
    *, event_id: int, by: str, recorder: str, now: datetime, reason: str, rounds_counted: int | None = None
) -> Recorded:
    """End without finishing. Completed rounds count if there are enough of them, unless the referee says otherwise."""
    state = state_of(locked(event_id))
    if rounds_counted is not None and rounds_counted > state.rounds:
        raise Refusal(_("The event has only %(rounds)s rounds.") % {"rounds": state.rounds})
    if rounds_counted is None:
        completed = completed_rounds(state)
        rounds_counted = completed if completed >= state.rules.abandon_rounds else 0
    return record_with_reason(event_id, Abandoned(rounds_counted), by, recorder, now, reason)


def last_round_begun(state: EventState) -> int:
    """The last round of which a trial is recorded; 0 before the first."""
    return max((turn.turn.round for e in state.entries for turn in e.turns if turn.trial is not None), default=0)


def completed_rounds(state: EventState) -> int:
    """How many rounds everybody has had a turn in.

    A replacement trial that is owed does not break the round: everybody was called in it, and one athlete's missing
    trial must not take the marks of all the others. The referee sees who is owed and may decide otherwise.
    """
    begun = [turn.turn.round for entry in state.entries for turn in entry.turns if turn.counts]
    if not begun:
        return 0
    called_again = [turn.turn.round for turn in state.turns if turn.turn.replacement]
    first_open = min((turn.turn.round for turn in state.turns if not turn.turn.replacement), default=None)
    if first_open is not None:
        return first_open - 1
    return max(begun) if called_again else state.round


def change_rule(
    *, event_id: int, field: str, value: str, by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """The referee changes one rule for this event, for all alike."""
    return record_with_reason(event_id, RuleChanged(field, value), by, recorder, now, reason)
