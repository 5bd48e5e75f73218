"""Right trials with what was known before each was saved, and slips put into them at random.

Every trial of these days is right. A slip takes its place: the same turn, the same things known, another mark or wind.
`Before.asked` is what the recorder would be asked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random

from scoring.event import replay
from scoring.facts import Jumped, WindRead
from scoring.log import Row, Turn
from scoring.rulesets import RuleSet
from scoring.slips import questions
from scoring.state import EventState, StartLine
from scoring.trials import Result, Trial
from scoring.wind import NWI, Wind

RECENT_WINDS = 5


@dataclass(frozen=True, slots=True)
class Before:
    """A right trial and what is known when it is to be saved; winds and the last mark of the recorder, oldest first."""

    state: EventState
    turn: Turn
    trial: Trial
    seed_mark: int | None = None
    sand_cm: int | None = None
    last_winds: tuple[int, ...] = ()
    last_mark: int | None = None
    in_call_order: bool = True

    def asked(self) -> tuple[str, ...]:
        found = questions(
            self.state,
            self.turn,
            self.trial,
            seed_mark=self.seed_mark,
            sand_cm=self.sand_cm,
            in_call_order=self.in_call_order,
            last_winds=self.last_winds,
            last_mark=self.last_mark,
        )
        return tuple(question.kind for question in found)


def right_trials(
    lines: Sequence[StartLine],
    rows: Sequence[Row],
    rules: RuleSet,
    *,
    seeds: Mapping[str, int | None] | None = None,
    sand_cm: int | None = None,
    in_call_order: bool = True,
) -> Iterator[Before]:
    """The trials of a log as they were first written down, each with its wind and what stood before it."""
    replaced: set[str] = set()
    for number, row in enumerate(rows):
        replaced.update(row.supersedes)
        fact = row.fact
        if not isinstance(fact, Jumped) or row.supersedes:
            continue
        turn = Turn(fact.entry, fact.round, fact.replacement)
        own = [r.fact for r in rows[number + 1 : number + 4] if isinstance(r.fact, WindRead)]
        read = next((w for w in own if (w.entry, w.round, w.replacement) == turn), None)
        earlier = [r.fact for r in rows[:number] if r.id not in replaced]
        winds = [f.tenths for f in earlier if isinstance(f, WindRead) and f.tenths is not None]
        marks = [f.mark for f in earlier if isinstance(f, Jumped) and (f.entry, f.round) != turn[:2]]
        state = replay(lines, rows[:number], rules)
        board_cm = fact.board_cm if fact.board_cm is not None else state.entry(fact.entry).board_cm
        wind = None if read is None else NWI if read.tenths is None else Wind(read.tenths)
        yield Before(
            state,
            turn,
            Trial(fact.result, fact.mark, wind, fact.reason, board_cm, fact.under_protest),
            (seeds or {}).get(fact.entry),
            sand_cm,
            tuple(winds[-RECENT_WINDS:]),
            marks[-1] if marks else None,
            in_call_order,
        )


def kinds_asked(days: Iterable[Before]) -> tuple[int, int, Counter[str]]:
    """Right trials, those asked about, and the questions by kind."""
    asked = [before.asked() for before in days]
    return len(asked), sum(map(bool, asked)), Counter(kind for kinds in asked for kind in kinds)


SLIPS = (
    "last digits swapped", "first digits swapped", "a metre more", "a metre less", "ten centimetres for all",
    "wrong neighbour", "same jump twice", "wind sign", "wind sign, from 1.0 m/s", "gauge not started",
)  # fmt: skip


def caught(day: Sequence[Before], lot: Random) -> Counter[tuple[str, str]]:
    """Of each slip how often it was put in and how often asked about. `day`: the trials of one event in their order."""
    count: Counter[tuple[str, str]] = Counter()
    tape = lot.choice((-10, 10))
    for number, before in enumerate(day):
        following = day[number + 1] if number + 1 < len(day) else None
        for slip, slipped in _slips(before, following, tape, lot):
            count[slip, "made"] += 1
            count[slip, "asked"] += bool(slipped.asked())
    return count


def _slips(before: Before, following: Before | None, tape: int, lot: Random) -> Iterator[tuple[str, Before]]:
    trial, mark = before.trial, before.trial.mark
    if trial.result is Result.MARK and mark is not None:
        digits = str(mark)
        for name, low in (("last digits swapped", len(digits) - 2), ("first digits swapped", len(digits) - 3)):
            swapped = digits[:low] + digits[low + 1] + digits[low] + digits[low + 2 :]
            if swapped != digits and swapped[0] != "0":
                yield name, _with(before, mark=int(swapped))
        yield "a metre more", _with(before, mark=mark + 100)
        if mark > 150:
            yield "a metre less", _with(before, mark=mark - 100)
        yield "ten centimetres for all", _with(before, mark=mark + tape)
        if following is not None and following.trial.mark and following.turn.round == before.turn.round:
            yield "wrong neighbour", _with(before, mark=following.trial.mark)
        if before.last_mark:
            yield "same jump twice", _with(before, mark=before.last_mark)
    wind = trial.wind
    if trial.taken and wind is not None and wind.tenths:
        yield "wind sign", replace(before, trial=replace(trial, wind=Wind(-wind.tenths)))
        if abs(wind.tenths) >= 10:
            yield "wind sign, from 1.0 m/s", replace(before, trial=replace(trial, wind=Wind(-wind.tenths)))
        if before.last_winds:
            stuck = before.last_winds[-1]
            winds = (*before.last_winds[:-1], stuck, stuck)[-RECENT_WINDS:]
            yield "gauge not started", replace(before, last_winds=winds, trial=replace(trial, wind=Wind(stuck)))


def _with(before: Before, *, mark: int) -> Before:
    return replace(before, trial=replace(before.trial, mark=mark))
