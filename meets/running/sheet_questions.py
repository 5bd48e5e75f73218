"""Which boxes of a field sheet look like slips, with the rest of the sheet known."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace

from scoring.log import Turn
from scoring.marks import Unit
from scoring.slips import Question, questions
from scoring.state import EventState
from scoring.trials import Trial

# Questions that come from comparing a mark with the athlete's others.
COMPARED = frozenset({"metre", "above", "below"})

StateWithout = Callable[[Turn | None], EventState]


def slips_of(
    typed: Mapping[Turn, Trial],
    state_without: StateWithout,
    *,
    confirmed: Collection[Turn],
    seeds: Mapping[str, int | None],
    unit: Unit,
    sand_cm: int | None,
) -> Iterator[tuple[Turn, Question]]:
    """Questions in the order of the boxes. `confirmed`: turns that another record holds too, not asked about.

    `state_without(turn)` is the event with the sheet but for this turn. Where one wrong mark makes an athlete's
    right ones look strange, only the wrong one is asked about.
    """
    state = state_without(None)
    found: dict[Turn, tuple[Question, ...]] = {}
    winds: list[int] = []
    for turn, trial in typed.items():
        if turn not in confirmed:
            found[turn] = _asked(state, turn, trial, seeds, unit, sand_cm, winds)
        if trial.wind is not None and trial.wind.tenths is not None:
            winds.append(trial.wind.tenths)
    suspects: dict[str, list[Turn]] = defaultdict(list)
    for turn, asked in found.items():
        if any(question.kind in COMPARED for question in asked):
            suspects[turn.entry].append(turn)
    cleared: set[Turn] = set()
    for turns in suspects.values():
        culprit = next((turn for turn in turns if _explains(turn, turns, typed, state_without, seeds, unit)), None)
        if culprit is not None:
            cleared |= {turn for turn in turns if turn != culprit}
    for turn, asked in found.items():
        yield from ((turn, q) for q in asked if turn not in cleared or q.kind not in COMPARED)


def _explains(
    culprit: Turn,
    turns: Collection[Turn],
    typed: Mapping[Turn, Trial],
    state_without: StateWithout,
    seeds: Mapping[str, int | None],
    unit: Unit,
) -> bool:
    """Whether nothing is strange about the other turns once the culprit is not known."""
    state = state_without(culprit)
    others = [turn for turn in turns if turn != culprit]
    return not any(
        question.kind in COMPARED
        for turn in others
        for question in _asked(state, turn, typed[turn], seeds, unit, None, ())
    )


def _asked(
    state: EventState,
    turn: Turn,
    trial: Trial,
    seeds: Mapping[str, int | None],
    unit: Unit,
    sand_cm: int | None,
    winds: Collection[int],
) -> tuple[Question, ...]:
    board_cm = trial.board_cm if trial.board_cm is not None else state.entry(turn.entry).board_cm
    return questions(
        state,
        turn,
        replace(trial, board_cm=board_cm),
        seed_mark=seeds.get(turn.entry),
        unit=unit,
        sand_cm=sand_cm,
        in_call_order=False,
        last_winds=tuple(winds),
    )
