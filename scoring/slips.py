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
from scoring.state import EventState, Stage
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
# So near to what an athlete usually jumps must a mark be, once a metre is added or taken off, to be asked about.
# In the triple jump right marks lie a metre apart now and then; twice this asked about one in eleven of them.
SAME_METRE_CM = 20


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
        known = _known(state, turn, seed_mark)
        found += _mark_questions(state, turn, trial, known, unit, sand_cm)
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
    up = state.callable[0].turn if state.callable else None
    if in_call_order and state.rules.call == "rounds" and up is not None and turn != up and turn not in recorded:
        return [Question("out of order", OUT_OF_ORDER, {"bib": bib, "up": state.entry(up.entry).line.bib})]
    return []


def _known(state: EventState, turn: Turn, seed_mark: int | None) -> list[int]:
    """Valid marks of this athlete without the turn itself, and the seed: after a poor trial a usual one is no slip."""
    entry = state.entry(turn.entry)
    own = [trial.valid_mark for round, trial in entry.by_round.items() if round != turn.round]
    return [mark for mark in (*own, seed_mark) if mark]


def _mark_questions(
    state: EventState, turn: Turn, trial: Trial, known: list[int], unit: Unit, sand_cm: int | None
) -> list[Question]:
    mark = trial.mark or 0
    mark_cm, known_cm = mark_in_cm(mark, unit), [mark_in_cm(m, unit) for m in known]
    values: dict[str, object] = {"mark": show_mark(mark, unit), "bib": state.entry(turn.entry).line.bib}
    if trial.board_cm is not None and sand_cm is not None:
        low, high = possible_range(trial.board_cm, sand_cm, state.rules.zone_cm)
        if not low <= mark_cm <= high:
            values |= {name: show_mark(cm) for name, cm in (("board", trial.board_cm), ("low", low), ("high", high))}
            return [Question("cannot be", CANNOT_BE, values, _metre_guess(mark_cm, known_cm, unit))]
    if not known_cm:
        return []
    guess = _metre_guess(mark_cm, known_cm, unit)
    values["best"] = show_mark(max(known), unit)
    if guess is not None:
        usual = show_mark(_in_unit(round(median(known_cm)), unit), unit)
        return [Question("metre", METRE, values | {"guess": show_mark(guess, unit), "usual": usual}, guess)]
    rules = state.rules
    above = mark_cm > max(known_cm) + rules.ask_above_best_cm
    below = mark_cm < max(known_cm) - rules.ask_below_best_cm
    if above or below:
        swapped = _swapped(mark, unit)
        fits = [m for m in swapped if _inside(mark_in_cm(m, unit), known_cm, rules)]
        return [Question("above" if above else "below", ABOVE if above else BELOW, values, fits[0] if fits else None)]
    return []


def _inside(mark_cm: int, known_cm: list[int], rules: RuleSet) -> bool:
    best = max(known_cm)
    return best - rules.ask_below_best_cm <= mark_cm <= best + rules.ask_above_best_cm


def _metre_guess(mark_cm: int, known_cm: list[int], unit: Unit) -> int | None:
    """The mark a metre away, if that is where the athlete usually jumps and this is not. Metres only."""
    if not known_cm or unit is not Unit.CM:
        return None
    usual = median(known_cm)
    if abs(mark_cm - usual) <= 100 - SAME_METRE_CM:
        return None
    near = [guess for guess in (mark_cm - 100, mark_cm + 100) if abs(guess - usual) <= SAME_METRE_CM]
    return near[0] if near else None


def _swapped(mark: int, unit: Unit) -> list[int]:
    """The mark with two neighbouring digits swapped: 5.43 and 5.34."""
    if unit is not Unit.CM:
        return []
    digits = str(mark)
    pairs = range(len(digits) - 1, 0, -1)
    swaps = {digits[: i - 1] + digits[i] + digits[i - 1] + digits[i + 1 :] for i in pairs}
    return sorted(int(swap) for swap in swaps if swap != digits and not swap.startswith("0"))


def _in_unit(mark_cm: int, unit: Unit) -> int:
    return mark_cm if unit is Unit.CM else mark_in_quarter_inches(mark_cm)


def _wind_questions(tenths: int, last_winds: Sequence[int], rules: RuleSet) -> list[Question]:
    shown = f"{tenths / 10:+.1f}"
    recent = list(last_winds)[-5:]
    if len(recent) >= STALE_AFTER - 1 and tenths and all(w == tenths for w in recent[-(STALE_AFTER - 1) :]):
        return [Question("stale wind", WIND_STALE, {"wind": shown})]
    if len(recent) >= STALE_AFTER:
        usual = median(recent)
        if tenths * usual < 0 and abs(tenths - usual) > rules.ask_wind_flip_tenths:
            return [Question("wind sign", WIND_FLIP, {"wind": shown, "usual": f"{usual / 10:+.1f}"})]
    return []
