"""Recording trials and winds, and putting them right."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Event, LogRow
from meets.running.reads import entries_of, people_of, sand_cm_of, state_of
from meets.running.record import NewRow, Recorded, record
from meets.running.refusals import Refusal
from meets.running.words import say
from scoring.errors import RuleError
from scoring.facts import (
    BoardSet,
    Disregarded,
    Jumped,
    NoGauge,
    ProtestDecided,
    ProtestLodged,
    Replaced,
    Voided,
    WindRead,
)
from scoring.log import Turn
from scoring.marks import Unit
from scoring.slips import questions
from scoring.state import EventState, TurnState
from scoring.trials import FailReason, Result, Trial, parse_trial
from scoring.wind import Wind, parse_wind

DESK, PIT, SECOND, PAPER = "desk", "pit", "second recorder", "paper sheet"


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
        raise Refusal(str(problem)) from problem
    except ValueError as problem:
        raise Refusal(_("“%(reason)s” is no reason for a failed trial.") % {"reason": typed.reason}) from problem
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
    event = Event.objects.select_related("meet").get(pk=event_id)
    typed = TypedTrial(turn, trial, wind, reason, board_cm, under_protest)
    values = read_trial(typed, Unit(event.meet.unit))
    entries = entries_of(event)
    state = state_of(event, entries)
    _refuse_second(state, turn, recorder, event)
    asked = () if answered else ask(event, state, [(turn, values)], in_call_order=in_call_order)
    if asked:
        return Outcome(False, asked[0])
    stored = record(event_id=event_id, facts=rows_for(turn, values, state), by=by, recorder=recorder, now=now)
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
        name = f"{turn.entry}-{turn.round}-{turn.replacement}"
        rows.append(NewRow(ProtestLodged(name, *turn), reason=_("immediate oral protest")))
    if trial.wind is not None:
        rows.append(NewRow(WindRead(turn.entry, turn.round, trial.wind.tenths, turn.replacement)))
    return rows


def ask(
    event: Event, state: EventState, trials: Sequence[tuple[Turn, Trial]], *, in_call_order: bool
) -> tuple[tuple[TrialAsked, ...], ...]:
    """For each trial the questions it raises; only trials with at least one are answered with a non-empty tuple."""
    people = people_of(event)
    unit, sand_cm = Unit(event.meet.unit), sand_cm_of(event)
    winds, last_mark = _just_before(state)
    found = []
    for turn, trial in trials:
        raised = questions(
            state,
            turn,
            trial,
            seed_mark=people[turn.entry].seed_mark if turn.entry in people else None,
            unit=unit,
            sand_cm=sand_cm,
            in_call_order=in_call_order,
            last_winds=winds,
            last_mark=last_mark if in_call_order else None,
        )
        found.append(tuple(TrialAsked(q.kind, say(q), q.guess) for q in raised))
        if trial.wind is not None and trial.wind.tenths is not None:
            winds = [*winds, trial.wind.tenths]
        last_mark = trial.mark
    return tuple(found) if any(found) else ()


def _just_before(state: EventState) -> tuple[list[int], int | None]:
    """The winds of the last trials and the last mark, in the order of turns."""
    taken = sorted(
        ((t.turn.round, entry.order, t) for entry in state.entries for t in entry.turns if t.trial is not None),
        key=lambda item: item[:2],
    )
    winds = [t.trial.wind.tenths for *_o, t in taken if t.trial.wind is not None and t.trial.wind.tenths is not None]
    return winds[-5:], taken[-1][2].trial.mark if taken else None


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


def _standing_turn(event_id: int, turn: Turn) -> tuple[EventState, TurnState]:
    event = Event.objects.select_related("meet").get(pk=event_id)
    state = state_of(event)
    found = find_turn(state, turn)
    if found is None or found.trial is None:
        raise Refusal(_("There is no trial in this turn to correct."))
    return state, found


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
) -> Recorded:
    """Replace what stands for a turn, both records of a disagreement included. `wind` None leaves the wind.

    When the judge reconsiders a flag, the distance already read is kept beside the failure and does not count.
    """
    event = Event.objects.select_related("meet").get(pk=event_id)
    _, found = _standing_turn(event_id, turn)
    values = read_trial(
        TypedTrial(turn, trial, wind or "", fail_reason, board_cm, under_protest), Unit(event.meet.unit)
    )
    kept_board = board_cm if board_cm is not None else found.trial.board_cm
    kept_mark = found.trial.mark if values.result is Result.FAIL and values.mark is None else values.mark
    rows = [
        NewRow(
            Jumped(
                turn.entry, turn.round, values.result, kept_mark, turn.replacement, values.reason, kept_board,
                under_protest,
            ),
            reason,
            found.rows,
        )
    ]  # fmt: skip
    if wind is not None and values.wind != found.trial.wind:
        rows.append(_wind_row(turn, values.wind, reason, found.wind_rows))
    return record(event_id=event_id, facts=rows, by=by, recorder=recorder, now=now)


def _wind_row(turn: Turn, wind: Wind | None, reason: str, supersedes: tuple[str, ...]) -> NewRow:
    if wind is None:
        return NewRow(Voided(*turn), reason, supersedes)
    return NewRow(WindRead(turn.entry, turn.round, wind.tenths, turn.replacement), reason, supersedes)


@transaction.atomic
def record_wind(
    *, event_id: int, turn: Turn, wind: str, by: str, recorder: str, now: datetime, reason: str = ""
) -> Recorded:
    """The reading for a turn. The first is no correction, however late; a changed one needs its reason."""
    event = Event.objects.select_related("meet").get(pk=event_id)
    try:
        value = parse_wind(wind)
    except RuleError as problem:
        raise Refusal(str(problem)) from problem
    found = find_turn(state_of(event), turn)
    rows = found.wind_rows if found else ()
    return record(event_id=event_id, facts=[_wind_row(turn, value, reason, rows)], by=by, recorder=recorder, now=now)


def no_gauge(
    *, event_id: int, by: str, recorder: str, now: datetime, reason: str = "", again: bool = False
) -> Recorded:
    """From here on trials are NWI; with `again`, there is a gauge again."""
    return record(event_id=event_id, facts=[NewRow(NoGauge(until=again), reason)], by=by, recorder=recorder, now=now)


@transaction.atomic
def void_trial(*, event_id: int, turn: Turn, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    """Take back a trial typed by mistake: the turn is open again, the row is kept."""
    _, found = _standing_turn(event_id, turn)
    fact = NewRow(Voided(*turn), reason, (*found.rows, *found.wind_rows))
    return record(event_id=event_id, facts=[fact], by=by, recorder=recorder, now=now)


@transaction.atomic
def give_replacement(*, event_id: int, turn: Turn, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    """The referee gives a new trial for this turn; the old one, if any, is kept and void."""
    if not reason.strip():
        raise Refusal(_("A replacement trial needs its reason."))
    fact = NewRow(Replaced(turn.entry, turn.round, turn.replacement), reason)
    return record(event_id=event_id, facts=[fact], by=by, recorder=recorder, now=now)


@transaction.atomic
def move_trial(
    *, event_id: int, turn: Turn, to_entry: str, by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """A trial belongs to the body that jumped: two linked rows, and the first bib's turn is open again.

    If the other bib then has two trials in that round, the one jumped second is void.
    """
    state, found = _standing_turn(event_id, turn)
    if to_entry == turn.entry:
        raise Refusal(_("The trial already belongs to this bib."))
    rows = [NewRow(Voided(*turn, moved_to=to_entry), reason, (*found.rows, *found.wind_rows))]
    target = turn._replace(entry=to_entry)
    taken = find_turn(state, target)
    if taken is not None and taken.trial is not None:
        if _jumped_first(event_id, taken, found):
            return record(event_id=event_id, facts=rows, by=by, recorder=recorder, now=now)
        second = _("second trial in this round")
        rows.append(NewRow(Voided(*target), second, (*taken.rows, *taken.wind_rows)))
    moved_from = _("moved from bib %(bib)s") % {"bib": state.entry(turn.entry).line.bib}
    rows += [NewRow(row.fact, f"{moved_from}: {reason}") for row in _moved(target, found)]
    return record(event_id=event_id, facts=rows, by=by, recorder=recorder, now=now)


def _jumped_first(event_id: int, one: TurnState, other: TurnState) -> bool:
    rows = LogRow.objects.filter(event_id=event_id, pk__in=(*one.rows, *other.rows)).order_by("rev")
    return str(rows.first().pk) in one.rows


def _moved(target: Turn, found: TurnState) -> list[NewRow]:
    """The trial and its wind once more, for the turn they belong to; the old board stays with the trial."""
    trial = found.trial
    jumped = Jumped(
        target.entry, target.round, trial.result, trial.mark, target.replacement, trial.reason, trial.board_cm,
        trial.under_protest,
    )  # fmt: skip
    rows = [NewRow(jumped)]
    if found.wind_rows and trial.wind is not None:
        rows.append(NewRow(WindRead(target.entry, target.round, trial.wind.tenths, target.replacement)))
    return rows


def set_board(*, event_id: int, entry: str, board_cm: int, by: str, recorder: str, now: datetime) -> Recorded:
    """The athlete jumps from this board from the next trial on."""
    return record(event_id=event_id, facts=[NewRow(BoardSet(entry, board_cm))], by=by, recorder=recorder, now=now)


def lodge_protest(
    *, event_id: int, name: str, entry: str = "", turn: Turn | None = None, who: str, by: str, recorder: str,
    now: datetime, reason: str,
) -> Recorded:  # fmt: skip
    """A protest against a turn, or the event. `name` is unique in the event; `who` lodges it."""
    fact = ProtestLodged(name, *(turn or Turn(entry, 0)), by=who)
    return record(event_id=event_id, facts=[NewRow(fact, reason)], by=by, recorder=recorder, now=now)


def decide_protest(
    *, event_id: int, name: str, upheld: bool, by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """The decision on a protest, with its reason; a trial measured under it counts once upheld."""
    if not reason.strip():
        raise Refusal(_("A decision needs its reason."))
    fact = NewRow(ProtestDecided(name, upheld), reason)
    return record(event_id=event_id, facts=[fact], by=by, recorder=recorder, now=now)


def disregard_trials(
    *, event_id: int, entry: str, round: int, by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """Trials of this entry from `round` on do not count, by the referee's decision."""
    fact = NewRow(Disregarded(entry, round), reason)
    return record(event_id=event_id, facts=[fact], by=by, recorder=recorder, now=now)
