"""Decisions that officials take on an event: the draw, number of trials, cut, order, breaks and its end."""

import secrets
from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from athletes.models import School
from meets.models import Entry, Event, LogRow, Pit
from meets.running.reads import entries_of, rows_of, state_of
from meets.running.record import NewRow, Recorded, locked, record
from meets.running.refusals import Refusal
from scoring.facts import (
    Abandoned,
    AlarmSettled,
    BoardChecked,
    BoardSet,
    CalledIn,
    Closed,
    CutTaken,
    Drawn,
    FlightMoved,
    FlightsMerged,
    OrderCalled,
    ReadinessSigned,
    Resumed,
    RuleChanged,
    Shortened,
    Suspended,
    TrialsConfirmed,
    Voided,
)
from scoring.flights import DrawLine, DrawMethod, make_flights
from scoring.state import EventState, Stage

LARGEST_SEED = 1_000_000


def _locked_state(event_id: int) -> EventState:
    """The event as it stands; nobody else records in it until the transaction ends."""
    return state_of(locked(event_id))


@transaction.atomic
def draw(
    *, event_id: int, by: str, recorder: str, now: datetime, seed: int | None = None, method: str | None = None
) -> Recorded:
    """Make the start list anew; its version is the number of draws. Refused once a trial is recorded."""
    event = locked(event_id)
    entries = entries_of(event)
    state = state_of(event, entries)
    if any(entry.turns for entry in state.entries):
        raise Refusal(_("%(event)s has begun: the order can no longer be drawn anew.") % {"event": event.name})
    if not entries:
        raise Refusal(_("%(event)s has no entries to draw.") % {"event": event.name})
    rules = state.rules
    chosen = _method(method or rules.first_order)
    if seed is None:
        seed = _meet_seed(event) if chosen is DrawMethod.SCHOOL_ROTATION else None
    seed = secrets.randbelow(LARGEST_SEED) if seed is None else seed
    lines = [
        DrawLine(str(e.pk), e.athlete.school.code, e.string, e.seed_mark, e.board_cm, e.bib or _name_and_school(e))
        for e in entries
    ]
    flights = make_flights(
        lines,
        method=chosen,
        seed=seed,
        largest=rules.flight_size,
        spread_schools=rules.spread_schools,
        a_before_b=rules.a_before_b,
        rotation=event.rotation,
        schools=_schools_of(event.meet_id) if chosen is DrawMethod.SCHOOL_ROTATION else (),
    )
    return record(
        event_id=event_id, facts=[NewRow(Drawn(flights, chosen.value, seed))], by=by, recorder=recorder, now=now
    )


def _name_and_school(entry: Entry) -> str:
    """What an entry without a bib is sorted by before the lot: it is the same in every database."""
    return f"{entry.athlete}, {entry.athlete.school.name}"


def _method(name: str) -> DrawMethod:
    known = [str(method) for method in DrawMethod]
    if name not in known:
        says = _("“%(method)s” is no way to draw. Choose one of: %(known)s.")
        raise Refusal(says % {"method": name, "known": ", ".join(known)})
    return DrawMethod(name)


def _meet_seed(event: Event) -> int | None:
    """Schools rotate over the events of a meet only if every event is drawn from one seed: the first one taken."""
    rows = LogRow.objects.filter(event__meet=event.meet_id, kind="drawn", values__method="school-rotation")
    first = rows.order_by("at", "rev").first()
    return None if first is None else first.values.get("seed", 0)


def _schools_of(meet_id: int) -> list[str]:
    return sorted(
        School.objects.filter(athletes__entries__event__meet=meet_id).distinct().values_list("code", flat=True)
    )


@transaction.atomic
def confirm_trials(
    *,
    event_id: int,
    by: str,
    recorder: str,
    now: datetime,
    with_cut: bool | None = None,
    rounds: int | None = None,
    reason: str = "",
    seen_version: int | None = None,
) -> Recorded:
    """The referee confirms after round 1 how many trials each takes; differing from the proposal needs a reason."""
    state = _locked_state(event_id)
    proposal = state.trials_proposal
    if proposal is None:
        raise Refusal(_("The number of trials is confirmed once everybody has had the turn in round 1."))
    cut = proposal.with_cut if with_cut is None else with_cut
    trials = proposal.rounds if rounds is None else rounds
    if (cut, trials) != (proposal.with_cut, proposal.rounds) and not reason.strip():
        raise Refusal(_("Another number of trials than proposed needs its reason."))
    fact = TrialsConfirmed(proposal.starters, trials, cut)
    return record(
        event_id=event_id, facts=[NewRow(fact, reason)], by=by, recorder=recorder, now=now, seen_version=seen_version
    )


@transaction.atomic
def take_cut(
    *,
    event_id: int,
    by: str,
    recorder: str,
    now: datetime,
    going_on: Sequence[str] | None = None,
    order: Sequence[str] | None = None,
    reason: str = "",
    seen_version: int | None = None,
) -> Recorded:
    """Take the cut and call the order that follows it, as proposed or as the referee decides with a reason."""
    state = _locked_state(event_id)
    proposal = state.cut_proposal
    if proposal is None:
        raise Refusal(_("There is no cut to take now."))
    taken = proposal.going_on if going_on is None else tuple(going_on)
    protested = tuple(entry for entry in proposal.under_protest if entry not in taken)
    if set(taken) != set(proposal.going_on) and not reason.strip():
        raise Refusal(_("Another cut than proposed needs its reason."))
    facts = [NewRow(CutTaken(proposal.after_round, taken, proposal.going_on, protested), reason)]
    if state.order_proposal is not None:
        proposed = state.order_proposal.order
        called = _kept_to(proposed, {*taken, *protested}) if order is None else tuple(order)
        if set(called) != {*taken, *protested}:
            raise Refusal(_("The order must name exactly those who go on."))
        if order is not None and called != proposed and set(called) == set(proposed) and not reason.strip():
            raise Refusal(_("Another order than proposed needs its reason."))
        facts.append(NewRow(OrderCalled(state.order_proposal.round, called, proposed), reason))
    return record(event_id=event_id, facts=facts, by=by, recorder=recorder, now=now, seen_version=seen_version)


def _kept_to(order: Sequence[str], members: set[str]) -> tuple[str, ...]:
    listed = tuple(entry for entry in order if entry in members)
    return (*(entry for entry in sorted(members) if entry not in listed), *listed)


@transaction.atomic
def call_order(
    *,
    event_id: int,
    by: str,
    recorder: str,
    now: datetime,
    order: Sequence[str] | None = None,
    reason: str = "",
    seen_version: int | None = None,
) -> Recorded:
    """Call the order of a round that no cut precedes (8 or fewer starters, or a re-ordering)."""
    state = _locked_state(event_id)
    proposal = state.order_proposal
    if proposal is None or state.cut_proposal is not None:
        raise Refusal(_("There is no order to call now."))
    called = proposal.order if order is None else tuple(order)
    if set(called) != set(proposal.order):
        raise Refusal(_("The order must name exactly those who go on."))
    if called != proposal.order and not reason.strip():
        raise Refusal(_("Another order than proposed needs its reason."))
    fact = OrderCalled(proposal.round, called, proposal.order)
    return record(
        event_id=event_id, facts=[NewRow(fact, reason)], by=by, recorder=recorder, now=now, seen_version=seen_version
    )


def call_in(*, event_id: int, entry: str, round: int, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    """Give further trials to somebody the cut left out wrongly."""
    return _with_reason(event_id, CalledIn(entry, round), by, recorder, now, reason)


def settle_alarm(*, event_id: int, alarm: str, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    """The referee has seen an alarm and says how it stands; nothing else changes."""
    return _with_reason(event_id, AlarmSettled(alarm), by, recorder, now, reason)


@transaction.atomic
def merge_flights(
    *, event_id: int, round: int, order: Sequence[str], by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """From `round` on flights jump in one order; earlier rounds keep theirs."""
    return _with_reason(event_id, FlightsMerged(round, tuple(order)), by, recorder, now, reason)


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
    _need_reason(reason)
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
    state = _locked_state(event_id)
    if last_round > state.rounds:
        raise Refusal(_("The event has no round after round %(round)s as it is.") % {"round": state.rounds})
    begun = max((t.turn.round for e in state.entries for t in e.turns if t.trial is not None), default=0)
    if last_round < begun:
        raise Refusal(_("Round %(round)s has begun: end after it, or abandon the event.") % {"round": begun})
    return _with_reason(event_id, Shortened(last_round), by, recorder, now, reason)


@transaction.atomic
def abandon(
    *, event_id: int, by: str, recorder: str, now: datetime, reason: str, rounds_counted: int | None = None
) -> Recorded:
    """End without finishing. Completed rounds count if there are enough of them, unless the referee says otherwise."""
    state = _locked_state(event_id)
    if rounds_counted is not None and rounds_counted > state.rounds:
        raise Refusal(_("The event has only %(rounds)s rounds.") % {"rounds": state.rounds})
    if rounds_counted is None:
        completed = completed_rounds(state)
        rounds_counted = completed if completed >= state.rules.abandon_rounds else 0
    return _with_reason(event_id, Abandoned(rounds_counted), by, recorder, now, reason)


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
    return _with_reason(event_id, RuleChanged(field, value), by, recorder, now, reason)


def sign_readiness(
    *, event_id: int, by: str, recorder: str, now: datetime, board_cm: int | None = None, measured_cm: int | None = None
) -> Recorded:
    """Sand, runway, board and rakes are in order; the board's distance as measured, if it was."""
    facts = [NewRow(ReadinessSigned())]
    if board_cm is not None and measured_cm is not None:
        facts.append(NewRow(BoardChecked(board_cm, measured_cm)))
    return record(event_id=event_id, facts=facts, by=by, recorder=recorder, now=now)


@transaction.atomic
def close(*, event_id: int, by: str, recorder: str, now: datetime, reason: str = "") -> Recorded:
    """The sheet is signed. Refused while a turn, a decision or a disagreement is open, unless a reason is given."""
    state = _locked_state(event_id)
    if state.stage is Stage.CLOSED:
        raise Refusal(_("The event is closed already."))
    missing = state.stage not in (Stage.FINISHED, Stage.ABANDONED) or state.disputes
    if missing and not reason.strip():
        raise Refusal(_("Trials or decisions are still open. To close all the same, give the reason."))
    return record(event_id=event_id, facts=[NewRow(Closed(), reason)], by=by, recorder=recorder, now=now)


@transaction.atomic
def take_back(*, event_id: int, row: str, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    """Take back any row entered by mistake (a DNS, a cut, a correction): it is kept, and no longer stands.

    What the row had replaced stands again, as new rows: to take back a correction is not to lose the trial.
    """
    rows = rows_of(locked(event_id))
    taken = next((known for known in rows if known.id == row), None)
    if taken is None:
        raise Refusal(_("The row to be taken back is not in this event's log."))
    gone = {old for other in rows for old in other.supersedes}
    if row in gone:
        raise Refusal(_("This row no longer stands. Look at the row that replaced it."))
    replaced_by_others = {old for other in rows if other.id not in (row, *gone) for old in other.supersedes}
    again = [known for known in rows if known.id in taken.supersedes and known.id not in replaced_by_others]
    facts = [NewRow(known.fact, reason, (row,)) for known in again] or [NewRow(Voided(), reason, (row,))]
    return record(event_id=event_id, facts=facts, by=by, recorder=recorder, now=now)


def _with_reason(event_id: int, fact, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    _need_reason(reason)
    return record(event_id=event_id, facts=[NewRow(fact, reason)], by=by, recorder=recorder, now=now)


def _need_reason(reason: str) -> None:
    if not reason.strip():
        raise Refusal(_("Please give the reason: it is kept with the decision."))
