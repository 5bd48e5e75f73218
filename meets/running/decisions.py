"""Decisions that officials take on an event: the draw, number of trials, cut, order, alarms, signatures."""

import secrets
from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from athletes.models import School
from meets.models import Entry, Event, LogRow
from meets.running.reads import entries_of, rows_of, state_of
from meets.running.reasons import record_with_reason
from meets.running.record import NewRow, Recorded, locked, record
from meets.running.refusals import Refusal
from scoring.facts import (
    AlarmSettled,
    BoardChecked,
    CalledIn,
    Closed,
    CutTaken,
    Drawn,
    OrderCalled,
    ReadinessSigned,
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
    return record_with_reason(event_id, CalledIn(entry, round), by, recorder, now, reason)


def settle_alarm(*, event_id: int, alarm: str, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    """The referee has seen an alarm and says how it stands; nothing else changes."""
    return record_with_reason(event_id, AlarmSettled(alarm), by, recorder, now, reason)


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
