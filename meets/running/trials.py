"""Recording trials, winds and boards. Putting them right is in `corrections`."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Event
from meets.running.protests import oral_protest
from meets.running.reads import entries_of, people_of, rows_of, sand_cm_at, state_of, to_row
from meets.running.record import NewRow, Recorded, locked, record
from meets.running.refusals import Refusal, refuse_stranger, refuse_what_cannot_be
from meets.running.words import say, say_refused
from scoring.errors import RuleError
from scoring.facts import BoardSet, Jumped, NoGauge, Voided, WindRead
from scoring.log import Turn, standing
from scoring.marks import Unit
from scoring.slips import questions
from scoring.state import EventState, TurnState
from scoring.trials import FailReason, Result, Trial, parse_trial
from scoring.wind import Wind, parse_wind

DESK, PIT, SECOND, PAPER = "desk", "pit", "second recorder", "paper sheet"
RECENT_WINDS = 5
# Rows in which the last readings are looked for: of a recorder who reads a wind now and then as well.
LOOK_BACK = 40


@dataclass(frozen=True, slots=True)
class TrialAsked:
    """One question with its sentence; `guess` is a mark (text) to offer as a button."""

    kind: str
    sentence: str
    guess: int | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """Either recorded, or what to ask before it is."""

    recorded: bool
    questions: tuple[TrialAsked, ...] = ()
    version: int = 0
    rows: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TypedTrial:
    """A trial as typed: the open notation, a wind or nothing."""

    turn: Turn
    text: str
    wind: str = ""
    reason: str = ""
    board_cm: int | None = None
    under_protest: bool = False


def read_trial(typed: TypedTrial, unit: Unit) -> Trial:
    """The typed trial as values. Raises Refusal with a sentence."""
    try:
        trial = parse_trial(typed.text, unit)
        wind = parse_wind(typed.wind) if typed.wind.strip() else None
        reason = FailReason(typed.reason)
    except RuleError as problem:
        raise Refusal(say_refused(problem)) from problem
    except ValueError as problem:
        raise Refusal(_("“%(reason)s” is no reason for a failed trial.") % {"reason": typed.reason}) from problem
    if typed.under_protest and trial.result not in (Result.MARK, Result.FAIL):
        raise Refusal(_("Only a trial that was called failed can be under protest: write its mark, or x."))
    result = Result.FAIL if typed.under_protest else trial.result
    return Trial(result, trial.mark, wind, reason, typed.board_cm, typed.under_protest)


@transaction.atomic
def record_trial(
    *,
    event_id: int,
    turn: Turn,
    trial: str,
    wind: str = "",
    reason: str = "",
    board_cm: int | None = None,
    under_protest: bool = False,
    by: str,
    recorder: str,
    now: datetime,
    answered: bool = False,
    in_call_order: bool = True,
) -> Outcome:
    """Record one trial with its wind. Asks first about what looks like a slip, unless `answered`.

    A trial measured under protest is recorded as failed with its mark and a protest is lodged. Raises Refusal.
    """
    event = locked(event_id)
    typed = TypedTrial(turn, trial, wind, reason, board_cm, under_protest)
    values = read_trial(typed, Unit(event.meet.unit))
    entries = entries_of(event)
    bibs = {str(entry.pk): entry.bib for entry in entries}
    refuse_stranger(turn, event, bibs)
    state = state_of(event, entries)
    _refuse_second(state, turn, recorder, event)
    rows = rows_for(turn, values, state)
    for row in rows:
        # Nobody is asked about what would be refused however they answer.
        refuse_what_cannot_be(row.fact, event, bibs, state.rules)
    asked = () if answered else ask(event, state, turn, values, recorder=recorder, in_call_order=in_call_order)
    if asked:
        return Outcome(False, asked)
    stored = record(event_id=event_id, facts=rows, by=by, recorder=recorder, now=now)
    return Outcome(True, (), stored.version, stored.rows)


def rows_for(turn: Turn, trial: Trial, state: EventState) -> list[NewRow]:
    """The rows of one trial: its board if it is new, the trial, a protest, its wind."""
    rows = []
    known = state.entry(turn.entry)
    if trial.board_cm is not None and trial.board_cm != known.board_cm:
        rows.append(NewRow(BoardSet(turn.entry, trial.board_cm)))
    rows.append(
        NewRow(
            Jumped(
                turn.entry, turn.round, trial.result, trial.mark, turn.replacement, trial.reason, trial.board_cm,
                trial.under_protest,
            )
        )
    )  # fmt: skip
    if trial.under_protest:
        rows += oral_protest(state, turn)
    if trial.wind is not None:
        rows.append(NewRow(WindRead(turn.entry, turn.round, trial.wind.tenths, turn.replacement)))
    return rows


def ask(
    event: Event, state: EventState, turn: Turn, trial: Trial, *, recorder: str, in_call_order: bool
) -> tuple[TrialAsked, ...]:
    """The questions that a trial raises before it is recorded; empty for what looks right."""
    known = people_of(event).get(turn.entry)
    winds, last_mark = _just_before(event, turn, recorder)
    board_cm = trial.board_cm if trial.board_cm is not None else state.entry(turn.entry).board_cm
    raised = questions(
        state,
        turn,
        replace(trial, board_cm=board_cm),
        seed_mark=known.seed_mark if known else None,
        unit=Unit(event.meet.unit),
        sand_cm=sand_cm_at(event, state, turn.entry),
        in_call_order=in_call_order,
        last_winds=winds,
        last_mark=last_mark if in_call_order else None,
    )
    return tuple(TrialAsked(q.kind, say(q), q.guess) for q in raised)


def _just_before(event: Event, turn: Turn, recorder: str) -> tuple[list[int], int | None]:
    """The readings and the mark that this recorder wrote down just before; another record of the turn is no repeat."""
    latest = event.log.filter(recorder=recorder, kind__in=("jumped", "wind_read")).order_by("-rev")[:LOOK_BACK]
    rows = [to_row(row) for row in latest]
    replaced = {old for row in rows for old in row.supersedes}
    facts = [row.fact for row in rows if row.id not in replaced]
    others = [fact for fact in facts if (fact.entry, fact.round) != turn[:2]]
    winds = [fact.tenths for fact in others if isinstance(fact, WindRead) and fact.tenths is not None]
    last = next((fact for fact in others if isinstance(fact, Jumped)), None)
    return winds[:RECENT_WINDS][::-1], last.mark if last else None


def _refuse_second(state: EventState, turn: Turn, recorder: str, event: Event) -> None:
    """One recorder writes a turn once; another recorder may, and then both are compared."""
    existing = find_turn(state, turn)
    if existing is None or existing.trial is None:
        return
    own = event.log.filter(pk__in=existing.rows, recorder=recorder).exists()
    if own:
        raise Refusal(
            _("Bib %(bib)s already has a trial in round %(round)s. Correct that one, with a reason.")
            % {"bib": state.entry(turn.entry).line.bib, "round": turn.round}
        )


def find_turn(state: EventState, turn: Turn) -> TurnState | None:
    try:
        return next((t for t in state.entry(turn.entry).turns if t.turn == turn), None)
    except KeyError:
        return None


def wind_row(turn: Turn, wind: Wind | None, reason: str = "", supersedes: Sequence[str] = ()) -> NewRow:
    """The row that states a turn's wind, or that takes back what was stated (None): it is owed again."""
    if wind is None:
        return NewRow(Voided(*turn), reason, tuple(supersedes))
    return NewRow(WindRead(turn.entry, turn.round, wind.tenths, turn.replacement), reason, tuple(supersedes))


@transaction.atomic
def record_wind(
    *, event_id: int, turn: Turn, wind: str, by: str, recorder: str, now: datetime, reason: str = ""
) -> Recorded:
    """The reading for a turn. The first is no correction, however late; a changed one needs its reason.

    Without a reason another recorder's reading is a second record, which agrees with the first or differs from it.
    """
    event = locked(event_id)
    try:
        value = parse_wind(wind)
    except RuleError as problem:
        raise Refusal(say_refused(problem)) from problem
    known = standing(rows_of(event)).winds.get(turn, [])
    corrected = [row.id for row in known if reason.strip() or row.recorder == recorder]
    return record(
        event_id=event_id, facts=[wind_row(turn, value, reason, corrected)], by=by, recorder=recorder, now=now
    )


def no_gauge(
    *, event_id: int, by: str, recorder: str, now: datetime, reason: str = "", again: bool = False
) -> Recorded:
    """From here on trials are NWI; with `again`, there is a gauge again."""
    return record(event_id=event_id, facts=[NewRow(NoGauge(until=again), reason)], by=by, recorder=recorder, now=now)


def set_board(*, event_id: int, entry: str, board_cm: int, by: str, recorder: str, now: datetime) -> Recorded:
    """The athlete jumps from this board from the next trial on."""
    return record(event_id=event_id, facts=[NewRow(BoardSet(entry, board_cm))], by=by, recorder=recorder, now=now)
