"""Slips of the pen caught before a trial is saved: questions, never refusals.

Most transposed digits lie inside any band; only reading back and a second record catch those. Thresholds are fields of
the rule set (common practice) and hold for centimetres; marks in quarter inches are compared after conversion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from statistics import median

from scoring.boards import possible_range
from scoring.log import Turn
from scoring.marks import Unit, mark_in_cm, mark_in_quarter_inches, show_mark
from scoring.rulesets import RuleSet
from scoring.state import EntryState, EventState, Stage
from scoring.trials import Result, Trial

NO_TURN = "Bib %(bib)s has no turn in round %(round)s now. Record it all the same?"
OUT_OF_ORDER = "Bib %(up)s is up. Did bib %(bib)s jump out of order?"
WHILE_SUSPENDED = "The event is suspended and nobody jumps. Did bib %(bib)s jump before that?"
CANNOT_BE = "%(mark)s from the board at %(board)s m would land outside the sand (%(low)s to %(high)s m). Is that right?"
ABOVE = "%(mark)s is far above anything known of bib %(bib)s (best %(best)s). Is that right?"
BELOW = "%(mark)s is far below anything known of bib %(bib)s (best %(best)s). Is that right?"
METRE = "%(guess)s or %(mark)s? Bib %(bib)s usually jumps about %(usual)s."
SAME_MARK = "%(mark)s again, the same mark as the trial before. Was it typed twice?"
WIND_FLIP = "%(wind)s, while the last readings were about %(usual)s. Is the sign right?"
WIND_WITHOUT_JUMP = "A wind, and nobody jumped: does it belong to another trial?"
WIND_STALE = "%(wind)s for the third time in a row. Has the gauge been started?"

STALE_AFTER = 3
# So near to what an athlete usually jumps must a mark be, once a metre is added or taken off, to be asked about: it is
# then two and a half times nearer than the mark as typed. Right triple jumps lie a metre apart now and then; 40 asked
# about one in fifteen of them, 28 about one in 38.
SAME_METRE_CM = 28
# A seed is somebody's best day: in published series the other valid trials lie 2.6 % (long jump) and 1.4 % (triple
# jump) below the best in the middle, at schools more (common practice).
USUAL_PERCENT_OF_SEED = 97
# Who ran through is measured all the same: a mark that no slip explains is asked about from a third below the best.
POOR_SHARE = 3
# So many marks of others show what this field jumps.
FIELD_MARKS = 5


@dataclass(frozen=True, slots=True)
class Question:
    """Something to ask before saving. `kind` names it; `guess`: a mark to offer as a button, in the meet's unit."""

    kind: str
    message: str
    values: dict[str, object] = field(default_factory=dict)
    guess: int | None = None


def questions(
    state: EventState,
    turn: Turn,
    trial: Trial,
    *,
    seed_mark: int | None = None,
    unit: Unit = Unit.CM,
    sand_cm: int | None = None,
    in_call_order: bool = True,
    last_winds: Sequence[int] = (),
    last_mark: int | None = None,
) -> tuple[Question, ...]:
    """What to ask before saving `trial` for `turn`; empty for what looks right.

    `last_winds` tenths of m/s and `last_mark` of the trials recorded just before by the same recorder, oldest first.
    With `in_call_order` False (a sheet typed in later) the order of calling is not asked about.

    >>> from scoring.event import replay
    >>> from scoring.facts import Drawn
    >>> from scoring.log import Row
    >>> from scoring.rulesets import rule_set
    >>> from scoring.state import StartLine
    >>> state = replay([StartLine("a", "31")], [Row("r", 1, Drawn((("a",),)))], rule_set("international"))
    >>> [(q.kind, q.guess) for q in questions(state, Turn("a", 1), Trial(Result.MARK, 643), seed_mark=540)]
    [('metre', 543)]
    """
    found = [*_turn_questions(state, turn, in_call_order)]
    if trial.mark is not None and trial.result in (Result.MARK, Result.FAIL):
        found += _mark_questions(state, turn, trial, _Known.of(state, turn, seed_mark, unit), unit, sand_cm)
        if trial.mark == last_mark:
            found.append(Question("same mark", SAME_MARK, {"mark": show_mark(trial.mark, unit)}))
    if trial.wind is not None and not trial.taken:
        found.append(Question("wind without a jump", WIND_WITHOUT_JUMP))
    elif trial.wind is not None and trial.wind.tenths is not None:
        found += _wind_questions(trial.wind.tenths, last_winds, state.rules)
    return tuple(found)


def _turn_questions(state: EventState, turn: Turn, in_call_order: bool) -> list[Question]:
    bib = state.entry(turn.entry).line.bib
    if in_call_order and state.stage is Stage.SUSPENDED:
        return [Question("suspended", WHILE_SUSPENDED, {"bib": bib})]
    open_now = {item.turn for item in state.turns}
    recorded = {item.turn for item in state.entry(turn.entry).turns if item.trial is not None}
    if turn not in open_now and turn not in recorded:
        return [Question("no turn", NO_TURN, {"bib": bib, "round": turn.round})]
    # Flights may jump apart: at two pits, or after one another while another age group's flight comes between.
    flight = next((item.flight for item in state.turns if item.turn == turn), None)
    up = next((item.turn for item in state.callable if item.flight == flight), None)
    if in_call_order and state.rules.call == "rounds" and up is not None and turn != up and turn not in recorded:
        return [Question("out of order", OUT_OF_ORDER, {"bib": bib, "up": state.entry(up.entry).line.bib})]
    return []


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known of an athlete, in cm: the best, what is usual (None: nothing), the best of the others if needed.

    `best` and `usual` leave the turn itself out. `field_best` stands in where no seed says what the athlete can do.
    """

    best: int = 0
    usual: float | None = None
    field_best: int = 0

    @classmethod
    def of(cls, state: EventState, turn: Turn, seed_mark: int | None, unit: Unit) -> _Known:
        entry = state.entry(turn.entry)
        own = [mark_in_cm(mark, unit) for mark in _valid(entry, without=turn.round)]
        if seed_mark:
            seed_cm = mark_in_cm(seed_mark, unit)
            return cls(max(*own, seed_cm) if own else seed_cm, median([*own, seed_cm * USUAL_PERCENT_OF_SEED / 100]))
        if not own:
            return cls()
        field = [mark_in_cm(m, unit) for other in state.entries if other is not entry for m in _valid(other)]
        return cls(max(own), median(own), max(field) if len(field) >= FIELD_MARKS else 0)

    def inside(self, mark_cm: int, rules: RuleSet) -> bool:
        return self.best - rules.ask_below_best_cm <= mark_cm <= self.best + rules.ask_above_best_cm


def _valid(entry: EntryState, without: int | None = None) -> list[int]:
    return [mark for round, trial in entry.by_round.items() if round != without and (mark := trial.valid_mark)]


def _mark_questions(
    state: EventState, turn: Turn, trial: Trial, known: _Known, unit: Unit, sand_cm: int | None
) -> list[Question]:
    mark, rules = trial.mark or 0, state.rules
    mark_cm = mark_in_cm(mark, unit)
    values: dict[str, object] = {"mark": show_mark(mark, unit), "bib": state.entry(turn.entry).line.bib}
    guess = _metre_guess(mark_cm, known, unit)
    if trial.board_cm is not None and sand_cm is not None:
        low, high = possible_range(trial.board_cm, sand_cm, rules.zone_cm)
        if not low <= mark_cm <= high:
            values |= {name: show_mark(cm) for name, cm in (("board", trial.board_cm), ("low", low), ("high", high))}
            return [Question("cannot be", CANNOT_BE, values, guess)]
    if known.usual is None:
        return []
    if guess is not None:
        usual = show_mark(_in_unit(round(known.usual), unit), unit)
        return [Question("metre", METRE, values | {"guess": show_mark(guess, unit), "usual": usual}, guess)]
    values["best"] = show_mark(_in_unit(known.best, unit), unit)
    fits = [m for m in _slipped(mark, unit) if known.inside(mark_in_cm(m, unit), rules)]
    if mark_cm > max(known.best + rules.ask_above_best_cm, known.field_best):
        return [Question("above", ABOVE, values, fits[0] if fits else None)]
    poor = known.best - rules.ask_below_best_cm
    if mark_cm < poor and (fits or mark_cm < known.best - known.best / POOR_SHARE):
        return [Question("below", BELOW, values, fits[0] if fits else None)]
    return []


def _metre_guess(mark_cm: int, known: _Known, unit: Unit) -> int | None:
    """The mark a metre away, if that is where the athlete usually jumps and this is not. Metres only."""
    if known.usual is None or unit is not Unit.CM or abs(mark_cm - known.usual) <= 100 - SAME_METRE_CM:
        return None
    near = [guess for guess in (mark_cm - 100, mark_cm + 100) if abs(guess - known.usual) <= SAME_METRE_CM]
    return near[0] if near else None


def _slipped(mark: int, unit: Unit) -> list[int]:
    """What may have been meant: two neighbouring digits swapped (5.43 and 5.34), the last first; or a metre more."""
    if unit is not Unit.CM:
        return []
    digits = str(mark)
    pairs = range(len(digits) - 1, 0, -1)
    swaps = {digits[: i - 1] + digits[i] + digits[i - 1] + digits[i + 1 :] for i in pairs}
    return [*sorted(int(swap) for swap in swaps if swap != digits and not swap.startswith("0")), mark + 100]


def _in_unit(mark_cm: int, unit: Unit) -> int:
    return mark_cm if unit is Unit.CM else mark_in_quarter_inches(mark_cm)


def _wind_questions(tenths: int, last_winds: Sequence[int], rules: RuleSet) -> list[Question]:
    shown = f"{tenths / 10:+.1f}"
    recent = list(last_winds)[-5:]
    if len(recent) >= STALE_AFTER - 1 and tenths and all(w == tenths for w in recent[-(STALE_AFTER - 1) :]):
        return [Question("stale wind", WIND_STALE, {"wind": shown})]
    if len(recent) >= STALE_AFTER:
        # A wind turns slowly, so the last reading says most; the middle of five keeps one gust from deciding.
        usual = (median(recent) + recent[-1]) / 2
        if tenths * usual < 0 and abs(tenths - usual) > rules.ask_wind_flip_tenths:
            return [Question("wind sign", WIND_FLIP, {"wind": shown, "usual": f"{usual / 10:+.1f}"})]
    return []
