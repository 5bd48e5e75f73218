"""Putting trials right: corrected, taken back, moved to another bib, given again, not counted."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Event
from meets.running.protests import oral_protest
from meets.running.reads import entries_of, rows_of, state_of
from meets.running.record import NewRow, Overtaken, Recorded, locked, record
from meets.running.refusals import Refusal, refuse_stranger
from meets.running.trials import TypedTrial, find_turn, read_trial, wind_row
from scoring.facts import Disregarded, Fact, Jumped, ProtestLodged, Replaced, Voided
from scoring.log import Row, Standing, Turn, standing
from scoring.marks import Unit
from scoring.state import EventState, TurnState
from scoring.trials import Result


def _standing_turn(event_id: int, turn: Turn) -> tuple[Event, EventState, TurnState]:
    event = locked(event_id)
    state = state_of(event)
    found = find_turn(state, turn)
    if found is None or found.trial is None:
        raise Refusal(_("There is no trial in this turn to correct."))
    return event, state, found


@transaction.atomic
def correct_trial(
    *,
    event_id: int,
    turn: Turn,
    trial: str,
    wind: str | None = None,
    fail_reason: str = "",
    board_cm: int | None = None,
    under_protest: bool = False,
    by: str,
    recorder: str,
    now: datetime,
    reason: str,
    seen_rows: Iterable[str] | None = None,
) -> Recorded:
    """Replace what stands for a turn, both records of a disagreement included. `wind` None leaves the wind.

    When the judge reconsiders a flag, the distance already read is kept beside the failure and does not count.
    `seen_rows`: the rows of the trial that the official saw; if others stand by now, Overtaken is raised.
    """
    event, state, found = _standing_turn(event_id, turn)
    if seen_rows is not None and set(seen_rows) != set(found.rows):
        raise Overtaken(_("Somebody has put this trial right in the meantime. Look at it again, then correct it."))
    values = read_trial(
        TypedTrial(turn, trial, wind or "", fail_reason, board_cm, under_protest), Unit(event.meet.unit)
    )
    kept_board = board_cm if board_cm is not None else found.trial.board_cm
    kept_mark = found.trial.mark if values.result is Result.FAIL and values.mark is None else values.mark
    jumped = Jumped(
        turn.entry, turn.round, values.result, kept_mark, turn.replacement, values.reason, kept_board, under_protest
    )
    rows = [NewRow(jumped, reason, found.rows)]
    if under_protest:
        rows += oral_protest(state, turn)
    if (
        wind is not None
        and (values.wind != found.trial.wind or found.wind_disputed)
        and (values.wind is not None or found.wind_rows)
    ):
        rows.append(wind_row(turn, values.wind, reason, found.wind_rows))
    return record(event_id=event_id, facts=rows, by=by, recorder=recorder, now=now)


@transaction.atomic
def void_trial(*, event_id: int, turn: Turn, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    """Take back a trial typed by mistake: the turn is open again, the row is kept."""
    found = _standing_turn(event_id, turn)[2]
    fact = NewRow(Voided(*turn), reason, (*found.rows, *found.wind_rows))
    return record(event_id=event_id, facts=[fact], by=by, recorder=recorder, now=now)


@transaction.atomic
def give_replacement(*, event_id: int, turn: Turn, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    """The referee gives a new trial for this turn; the old one, if any, is kept and void."""
    if not reason.strip():
        raise Refusal(_("A replacement trial needs its reason."))
    event = locked(event_id)
    entries = entries_of(event)
    refuse_stranger(turn, event, {str(entry.pk): entry.bib for entry in entries})
    state = state_of(event, entries)
    given = standing(rows_of(event)).replaced
    if turn in given:
        raise Refusal(_("A replacement trial is given for this turn already."))
    if turn.round > state.rounds or (turn.replacement and turn._replace(replacement=turn.replacement - 1) not in given):
        raise Refusal(_("There is no such turn that could be given again."))
    fact = NewRow(Replaced(turn.entry, turn.round, turn.replacement), reason)
    return record(event_id=event_id, facts=[fact], by=by, recorder=recorder, now=now)


@transaction.atomic
def move_trial(
    *, event_id: int, turn: Turn, to_entry: str, by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """A trial belongs to the body that jumped: linked rows, and the first bib's turn is open again.

    Everything said of it goes along: both records where they differ, the winds, a protest. If the other bib then has
    two trials in that round, the one jumped second is void.
    """
    event, state, found = _standing_turn(event_id, turn)
    if to_entry == turn.entry:
        raise Refusal(_("The trial already belongs to this bib."))
    log = standing(rows_of(event))
    target = Turn(to_entry, turn.round)
    while target in log.replaced:
        target = target._replace(replacement=target.replacement + 1)
    rows = [NewRow(Voided(*turn, moved_to=to_entry), reason, (*found.rows, *found.wind_rows))]
    taken = find_turn(state, target)
    if taken is not None and taken.trial is not None:
        if _first_written(taken, log) < _first_written(found, log):
            return record(event_id=event_id, facts=rows, by=by, recorder=recorder, now=now)
        second = _("second trial in this round")
        rows.append(NewRow(Voided(*target), second, (*taken.rows, *taken.wind_rows)))
    why = _("moved from bib %(bib)s: %(reason)s") % {"bib": state.entry(turn.entry).line.bib, "reason": reason}
    rows += [NewRow(fact, why, old) for fact, old in _moved(turn, target, found, log)]
    return record(event_id=event_id, facts=rows, by=by, recorder=recorder, now=now)


def _first_written(turn: TurnState, log: Standing) -> int:
    return min(log.first_rev(row) for row in log.rows if row.id in turn.rows)


def _moved(turn: Turn, target: Turn, found: TurnState, log: Standing) -> list[tuple[Fact, tuple[str, ...]]]:
    """What is said of a turn, said of another, each with the rows it replaces. The old board stays with the trial."""
    moved: dict[Fact, tuple[str, ...]] = {}
    for row in log.rows:
        if row.id in (*found.rows, *found.wind_rows) or _protests(row, turn, log):
            fact = replace(row.fact, entry=target.entry, replacement=target.replacement)
            if isinstance(fact, Jumped) and fact.board_cm is None:
                fact = replace(fact, board_cm=found.trial.board_cm)
            moved[fact] = (*moved.get(fact, ()), row.id)
    return list(moved.items())


def _protests(row: Row, turn: Turn, log: Standing) -> bool:
    fact = row.fact
    about = isinstance(fact, ProtestLodged) and Turn.of(fact) == turn
    return about and row.id not in log.superseded


def disregard_trials(
    *, event_id: int, entry: str, round: int, by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """Trials of this entry from `round` on do not count, by the referee's decision."""
    fact = NewRow(Disregarded(entry, round), reason)
    return record(event_id=event_id, facts=[fact], by=by, recorder=recorder, now=now)
