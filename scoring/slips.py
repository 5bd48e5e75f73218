"""Slips of the pen caught before a trial is saved: questions, never refusals.

Most transposed digits lie inside any band; only reading back and a second record catch those. Which marks and winds
are asked about is worked out in `bands`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from scoring.bands import Band, mark_bands, wind_bands
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.state import EventState, Stage
from scoring.trials import Result, Trial

NO_TURN = "Bib %(bib)s has no turn in round %(round)s now. Record it all the same?"
OUT_OF_ORDER = "Bib %(up)s is up. Did bib %(bib)s jump out of order?"
WHILE_SUSPENDED = "The event is suspended and nobody jumps. Did bib %(bib)s jump before that?"
SAME_BIB = "Bib %(bib)s has only just jumped. Is this another trial?"
SAME_MARK = "%(mark)s again, the same mark as the trial before. Was it typed twice?"
WIND_WITHOUT_JUMP = "A wind, and nobody jumped: does it belong to another trial?"

# Nobody jumps twice within so short a time: the longer clock of consecutive trials begins when the sand is level.
SAME_WITHIN_S = 40


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
        bands = mark_bands(
            state, turn, longest=trial.mark, board_cm=trial.board_cm, seed_mark=seed_mark, unit=unit, sand_cm=sand_cm
        )
        found += _asked(bands, trial.mark, "mark", lambda mark: show_mark(mark, unit))
        if trial.mark == last_mark:
            found.append(Question("same mark", SAME_MARK, {"mark": show_mark(trial.mark, unit)}))
    if trial.wind is not None and not trial.taken:
        found.append(Question("wind without a jump", WIND_WITHOUT_JUMP))
    elif trial.wind is not None and trial.wind.tenths is not None:
        bands = wind_bands(last_winds, state.rules)
        found += _asked(bands, trial.wind.tenths, "wind", lambda tenths: f"{tenths / 10:+.1f}")
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


def _asked(bands: Sequence[Band], value: int, name: str, show: Callable[[int], str]) -> list[Question]:
    """The question of the band that holds a value; `name` is what its message calls the value."""
    band = next((band for band in bands if band.low <= value <= band.high), None)
    if band is None:
        return []
    guess = None if band.guess is None else band.guess.of(value)
    values = band.values | {name: show(value)} | ({} if guess is None else {"guess": show(guess)})
    return [Question(band.kind, band.message, values, guess)]
