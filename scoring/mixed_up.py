"""What looks wrong at the end of a round although nobody differs: trials or winds that lie one athlete off.

Questions for who reads the round aloud, never refusals (common practice). And which boards nobody has measured.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from scoring.bands import usual_cm, valid_marks
from scoring.facts import BoardChecked, Jumped
from scoring.log import Standing, Turn
from scoring.marks import Unit, mark_in_cm
from scoring.state import EventState

SWAPPED = "Bib %(first)s %(first_mark)s and bib %(second)s %(second_mark)s: is that the wrong way round?"
WINDS_OFF = (
    "Round %(round)s: %(winds)s winds for %(marks)s measured trials, and bib %(bibs)s did not jump. "
    "Do the winds lie one athlete off?"
)

# Both marks must be so far from what is usual, and so many times nearer once they are exchanged. In published finals,
# where neighbours jump much alike, this asks about 2 of 208 right pairs and finds 23 of 208 exchanged ones.
FAR_CM = 15
TIMES_NEARER = 1.5


@dataclass(frozen=True, slots=True)
class Swap:
    """Two who jumped one after the other, whose marks fit each other's histories much better than their own."""

    first: Turn
    second: Turn


def swapped_neighbours(
    state: EventState, turns: Sequence[Turn], seeds: Mapping[str, int | None], unit: Unit = Unit.CM
) -> tuple[Swap, ...]:
    """Neighbours among `turns`, which are those of one round as they were written down.

    Units: `seeds` by entry in `unit`, None where there is none. Rule: common practice.

    >>> from scoring.event import replay
    >>> from scoring.log import Row
    >>> from scoring.rulesets import rule_set
    >>> from scoring.state import StartLine
    >>> from scoring.trials import Result
    >>> rows = [Row("r", 1, Jumped("a", 1, Result.MARK, 402)), Row("s", 2, Jumped("b", 1, Result.MARK, 488))]
    >>> state = replay([StartLine("a", "31"), StartLine("b", "17")], rows, rule_set("three-only"))
    >>> swapped_neighbours(state, [Turn("a", 1), Turn("b", 1)], {"a": 500, "b": 410})
    (Swap(first=Turn(entry='a', round=1, replacement=0), second=Turn(entry='b', round=1, replacement=0)),)
    """
    found, skip = [], None
    for first, second in pairwise(turns):
        if first != skip and _fits_the_other_way(state, first, second, seeds, unit):
            found.append(Swap(first, second))
            skip = second
    return tuple(found)


def _fits_the_other_way(
    state: EventState, first: Turn, second: Turn, seeds: Mapping[str, int | None], unit: Unit
) -> bool:
    known: list[float] = []
    for turn in (first, second):
        mark, usual = _mark_cm(state, turn, unit), _usual_cm(state, turn, seeds.get(turn.entry), unit)
        if mark is None or usual is None:
            return False
        known += [mark, usual]
    one, own, two, other = known
    off = min(abs(one - own), abs(two - other))
    return off >= FAR_CM and TIMES_NEARER * max(abs(two - own), abs(one - other)) <= off


def _mark_cm(state: EventState, turn: Turn, unit: Unit) -> int | None:
    trial = next((one.trial for one in state.entry(turn.entry).turns if one.turn == turn), None)
    mark = None if trial is None else trial.valid_mark
    return None if mark is None else mark_in_cm(mark, unit)


def _usual_cm(state: EventState, turn: Turn, seed_mark: int | None, unit: Unit) -> float | None:
    own = [mark_in_cm(mark, unit) for mark in valid_marks(state.entry(turn.entry), without=turn.round)]
    return usual_cm(own, mark_in_cm(seed_mark, unit) if seed_mark else None)


@dataclass(frozen=True, slots=True)
class WindsOff:
    """Winds of a round that may lie one athlete off: readings where nobody jumped, and measured trials without one."""

    without_jump: tuple[Turn, ...]
    without_wind: tuple[Turn, ...]
    winds: int
    measured: int


def winds_off(state: EventState, log: Standing, turns: Collection[Turn]) -> WindsOff | None:
    """Count readings against measured trials; None unless both a reading and a trial stand alone.

    Rule: common practice.

    >>> from scoring.event import replay
    >>> from scoring.facts import Drawn, WindRead
    >>> from scoring.log import Row, standing
    >>> from scoring.rulesets import rule_set
    >>> from scoring.state import StartLine
    >>> from scoring.trials import Result
    >>> a, b = Turn("a", 1), Turn("b", 1)
    >>> jumped = Jumped("a", 1, Result.MARK, 543), Jumped("b", 1, Result.PASS)
    >>> facts = Drawn((("a", "b"),)), *jumped, WindRead("b", 1, 14)
    >>> rows = [Row(str(rev), rev, fact) for rev, fact in enumerate(facts, 1)]
    >>> state = replay([StartLine("a", "31"), StartLine("b", "17")], rows, rule_set("three-only"))
    >>> off = winds_off(state, standing(rows), (a, b))
    >>> (off.without_jump, off.without_wind) == ((b,), (a,))
    True
    """
    trials = {one.turn: one.trial for entry in state.entries for one in entry.turns}
    read = {turn for turn in turns if any(row.fact.tenths is not None for row in log.winds.get(turn, ()))}  # type: ignore[union-attr]
    measured = {turn for turn in turns if (trial := trials.get(turn)) is not None and trial.mark is not None}
    without_jump = tuple(turn for turn in turns if turn in read and not ((t := trials.get(turn)) and t.taken))
    without_wind = tuple(turn for turn in turns if turn in state.owed_winds)
    if not without_jump or not without_wind:
        return None
    return WindsOff(without_jump, without_wind, len(read), len(measured))


def unmeasured_boards(
    log: Standing, state: EventState, boards_cm: Collection[int], entries: Collection[str]
) -> tuple[int, ...]:
    """Boards in use whose distance nobody has measured since the round before the present one; a failed check is none.

    Units: centimetres. `entries`: those who jump here. Rule: common practice (measured before the first trial and
    before each round, the tolerance is a field of the rule set).

    >>> from scoring.event import replay
    >>> from scoring.log import Row, standing
    >>> from scoring.rulesets import rule_set
    >>> from scoring.state import StartLine
    >>> rows = [Row("r", 1, BoardChecked(900, 901))]
    >>> state = replay([StartLine("a", "31")], rows, rule_set("three-only"))
    >>> unmeasured_boards(standing(rows), state, (700, 900), ("a",))
    (700,)
    """
    up = next((turn for turn in state.callable if turn.turn.entry in entries), None)
    jumped = [(log.first_rev(row), fact) for row, fact in log.of(Jumped) if fact.entry in entries]

    def is_now(fact: Jumped) -> bool:
        flight = state.entry(fact.entry).flight
        return up is None or (fact.round == up.turn.round and up.flight in (0, flight))

    begun = min((rev for rev, fact in jumped if is_now(fact)), default=None)
    since = max((rev for rev, fact in jumped if not is_now(fact) and (begun is None or rev < begun)), default=0)
    good = {
        fact.board_cm
        for row, fact in log.of(BoardChecked)
        if row.rev > since and abs(fact.measured_cm - fact.board_cm) <= state.rules.board_tolerance_cm
    }
    return tuple(board for board in sorted(boards_cm) if board not in good)
