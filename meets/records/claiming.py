"""Claims kept true to the results: made, withdrawn, and approved records taken out once their mark no longer stands."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Event, Record, RecordClaim
from meets.records.candidates import Candidate, candidates_of, turn_key
from meets.records.words import WHY_NOT
from meets.running.reads import entries_of, state_of
from meets.running.record import locked
from scoring.claims import WhyNot, exactly_in
from scoring.marks import Unit, show_mark
from scoring.state import EventState
from scoring.trials import Trial

State = RecordClaim.State
WAITS = (WhyNot.NOT_SETTLED, WhyNot.WIND_OWED)
"""What may still be cleared up: until then a claim stays as it is, and nobody can approve it."""


@dataclass(frozen=True, slots=True)
class Claimed:
    """What came of it: claims that are new or open again, those withdrawn, records taken out of their books."""

    made: list[RecordClaim] = field(default_factory=list)
    withdrawn: list[RecordClaim] = field(default_factory=list)
    taken_out: list[Record] = field(default_factory=list)


@transaction.atomic
def claims_from(event: Event, now: datetime, by: str) -> Claimed:
    """Make the claims of an event fit its result as it stands.

    Every mark that beats or equals a record is a claim. A claim whose mark no longer stands is withdrawn, and if it
    was approved, its record is taken out of the book with the reason, so that the former one stands again.
    """
    event = locked(event.pk)
    entries = entries_of(event)
    state = state_of(event, entries)
    wanted = {(one.book.pk, one.turn): one for one in candidates_of(event, state, entries)}
    claims = RecordClaim.objects.filter(event=event).select_related("book", "record").order_by("pk")
    stored = {(claim.book_id, claim.turn): claim for claim in claims.select_for_update(of=("self",))}
    done = Claimed()
    for key, claim in stored.items():
        one = wanted.get(key)
        if one is not None and one.found.is_claim:
            _follow(claim, one, now, by, done)
        elif not _waits(claim, one):
            _give_up(claim, one, state, now, by, done)
    new = [_claim(event, one, now) for key, one in wanted.items() if key not in stored and one.found.is_claim]
    done.made.extend(RecordClaim.objects.bulk_create(new))
    return done


def still_stands(claim: RecordClaim) -> str:
    """Why a claim cannot be approved as the result of its event stands now; '' if it can."""
    event, entries = claim.event, entries_of(claim.event)
    state = state_of(event, entries)
    found = {(one.book.pk, one.turn): one for one in candidates_of(event, state, entries)}
    one = found.get((claim.book_id, claim.turn))
    if one is None or not one.found.is_claim:
        return _why_off(claim, one, state)
    return "" if _says_the_same(claim, one) else _put_right(one.found.jump.mark, Unit(event.meet.unit))


def _claim(event: Event, one: Candidate, now: datetime) -> RecordClaim:
    claim = RecordClaim(book=one.book, event=event, entry_id=int(one.entry), turn=one.turn)
    return _as_found(claim, one, now)


def _as_found(claim: RecordClaim, one: Candidate, now: datetime) -> RecordClaim:
    """The claim as if it had just been made: nobody has confirmed or decided anything."""
    claim.mark, claim.wind_tenths, claim.equals = one.found.mark or 0, _tenths(one), one.found.equals
    claim.state, claim.made_at = State.OPEN, now
    claim.board_confirmed_by = claim.measured_confirmed_by = claim.wind_confirmed_by = ""
    claim.decided_at, claim.decided_by, claim.decision, claim.record = None, "", "", None
    return claim


def _tenths(one: Candidate) -> int | None:
    return one.wind.tenths if one.wind else None


def _says_the_same(claim: RecordClaim, one: Candidate) -> bool:
    """The same mark and, where it matters, the same wind."""
    same_wind = claim.wind_tenths == _tenths(one) or not claim.book.needs_wind
    return claim.mark == one.found.mark and same_wind


def _follow(claim: RecordClaim, one: Candidate, now: datetime, by: str, done: Claimed) -> None:
    """The mark is a claim: one that says something else by now, or was withdrawn, is open again."""
    same = _says_the_same(claim, one)
    if same and claim.state != State.WITHDRAWN:
        claim.wind_tenths = _tenths(one)
        claim.equals = one.found.equals if claim.state == State.OPEN else claim.equals
        claim.save()
        if claim.record and claim.record.wind_tenths != claim.wind_tenths:
            claim.record.wind_tenths = claim.wind_tenths
            claim.record.save(update_fields=["wind_tenths"])
        return
    if not same:
        _take_out(claim, now, by, _put_right(one.found.jump.mark, Unit(claim.event.meet.unit)), done)
    _as_found(claim, one, now).save()
    done.made.append(claim)


def _waits(claim: RecordClaim, one: Candidate | None) -> bool:
    return one is not None and one.found.why_not in WAITS and one.found.mark == claim.mark


def _give_up(
    claim: RecordClaim, one: Candidate | None, state: EventState, now: datetime, by: str, done: Claimed
) -> None:
    """The mark is no claim. What officials have approved stays as long as mark and wind are what they were."""
    trial = _trial(claim, state)
    approved = claim.state == State.APPROVED
    if claim.state not in (State.OPEN, State.APPROVED) or (approved and one is None and _is_that(claim, trial)):
        return
    why = _why_off(claim, one, state)
    _take_out(claim, now, by, why, done)
    claim.state, claim.decided_at, claim.decided_by, claim.decision = State.WITHDRAWN, now, by[:80], why[:200]
    claim.save()
    done.withdrawn.append(claim)


def _take_out(claim: RecordClaim, now: datetime, by: str, why: str, done: Claimed) -> None:
    record = claim.record
    if record is not None and record.taken_out_at is None:
        record.taken_out_at, record.taken_out_by, record.taken_out_reason = now, by[:80], why[:200]
        record.save(update_fields=["taken_out_at", "taken_out_by", "taken_out_reason"])
        done.taken_out.append(record)


def _trial(claim: RecordClaim, state: EventState) -> Trial | None:
    """The trial that the claim is about, if the athlete still has one that counts."""
    for entry in state.entries:
        for turn in entry.turns if entry.status != "DQ" else ():
            if turn_key(turn.turn) == claim.turn and turn.counts:
                return turn.trial
    return None


def _is_that(claim: RecordClaim, trial: Trial | None) -> bool:
    if trial is None or trial.valid_mark is None:
        return False
    mark = exactly_in(trial.valid_mark, Unit(claim.event.meet.unit), Unit(claim.book.unit))
    tenths = trial.wind.tenths if trial.wind else None
    return mark == claim.mark and (tenths == claim.wind_tenths or not claim.book.needs_wind)


def _why_off(claim: RecordClaim, one: Candidate | None, state: EventState) -> str:
    """Why the mark is no claim any more, in words."""
    own = next((entry for entry in state.entries if entry.line.entry == str(claim.entry_id)), None)
    trial = _trial(claim, state)
    if own is not None and own.status == "DQ":
        return _("disqualified: %(reason)s") % {"reason": own.status_reason}
    if own is None or trial is None or trial.valid_mark is None:
        return _("the trial no longer stands with a valid mark")
    if not _is_that(claim, trial) and one is None:
        return _put_right(trial.valid_mark, Unit(claim.event.meet.unit))
    if one is not None and one.found.why_not is not None:
        return str(WHY_NOT[one.found.why_not])
    return _("what has to be beaten is longer by now")


def _put_right(mark: int, unit: Unit) -> str:
    return _("the trial was put right: %(mark)s") % {"mark": show_mark(mark, unit)}
