"""Turns as they stand: for every turn the trial, its wind, its protest, and whether two recorders agree."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from scoring.facts import BoardSet, Jumped, NoGauge, WindRead
from scoring.log import Row, Standing, Turn, agree
from scoring.protests import is_about, lodged
from scoring.state import Protest, StartLine, TurnState
from scoring.trials import Result, Trial
from scoring.wind import NWI, Wind

_REPLACED = "replacement trial given"


class TurnReader:
    """Reads turns out of what stands of a log; made once for a replay."""

    def __init__(self, log: Standing, lines: Mapping[str, StartLine]) -> None:
        self._log = log
        self._no_gauge = _no_gauge_spans(log)
        self._boards: dict[str, list[tuple[int, int]]] = defaultdict(list)
        for row, fact in log.of(BoardSet):
            self._boards[fact.entry].append((row.rev, fact.board_cm))
        self._lines = lines
        self._protests: dict[Turn, list[tuple[int, Protest]]] = defaultdict(list)
        for rev, protest in lodged(log):
            if protest.round:
                self._protests[Turn.of(protest)].append((rev, protest))
        self._turns: dict[str, list[TurnState]] = defaultdict(list)
        for turn in sorted({*log.heads, *log.void}, key=lambda turn: (turn.round, turn.replacement)):
            self._turns[turn.entry].append(self._read(turn))

    def of(self, entry: str) -> list[TurnState]:
        """The turns for which something was recorded, in order of round."""
        return self._turns.get(entry, [])

    def board_at(self, entry: str, rev: int | None = None) -> int | None:
        """The athlete's board at a point of the log (now, without `rev`): the last set, else the entry's."""
        board = self._lines[entry].board_cm if entry in self._lines else None
        for set_rev, board_cm in self._boards.get(entry, ()):
            if rev is None or set_rev < rev:
                board = board_cm
        return board

    def _read(self, turn: Turn) -> TurnState:
        log = self._log
        heads, winds = log.heads.get(turn, []), log.winds.get(turn, [])
        void = [(self._trial(row, turn, winds), log.ended_by(row).reason) for row in log.void.get(turn, ())]
        if turn in log.replaced:
            void += [(self._trial(row, turn, winds), _REPLACED) for row in heads]
            return TurnState(turn, None, void=tuple(void))
        if not heads:
            return TurnState(turn, None, void=tuple(void))
        trial = self._trial(heads[0], turn, winds)
        disputed = not agree(heads)
        said = self._decisions(heads[0], turn)
        open_protest = trial.under_protest and True not in said and (None in said or not said)
        return TurnState(
            turn,
            trial,
            rows=tuple(row.id for row in heads),
            wind_rows=tuple(row.id for row in winds),
            disputed=disputed,
            wind_disputed=not agree(winds),
            confirmed=len({row.recorder for row in heads}) > 1 and not disputed,
            held=open_protest or disputed,
            said=tuple(self._trial(row, turn, winds) for row in heads) if disputed else (),
            void=tuple(void),
        )

    def _trial(self, row: Row, turn: Turn, winds: list[Row]) -> Trial:
        fact = row.fact
        assert isinstance(fact, Jumped)
        board_cm = fact.board_cm if fact.board_cm is not None else self.board_at(fact.entry, self._log.first_rev(row))
        return Trial(
            fact.result,
            fact.mark,
            self._wind(row, winds),
            fact.reason,
            board_cm,
            fact.under_protest or self._protested_later(row, fact, turn),
            True in self._decisions(row, turn),
        )

    def _protested_later(self, row: Row, fact: Jumped, turn: Turn) -> bool:
        """A white flag turned red keeps the distance that was read; a protest then is about that distance."""
        return fact.result is Result.FAIL and fact.mark is not None and bool(self._decisions(row, turn))

    def _decisions(self, row: Row, turn: Turn) -> list[bool | None]:
        """How the protests about this trial stand, None for an open one.

        One upheld is enough; whoever protests against that decision later does not undo it by protesting.
        """
        return [protest.upheld for rev, protest in self._protests.get(turn, ()) if is_about(rev, row, turn, self._log)]

    def _wind(self, row: Row, winds: list[Row]) -> Wind | None:
        if winds:
            fact = winds[0].fact
            assert isinstance(fact, WindRead)
            return Wind(fact.tenths)
        if self._no_gauge:
            first = self._log.first_rev(row)
            if any(start < first < end for start, end in self._no_gauge):
                return NWI
        return None


def _no_gauge_spans(log: Standing) -> list[tuple[float, float]]:
    spans: list[tuple[float, float]] = []
    start: float | None = None
    for row, fact in log.of(NoGauge):
        if not fact.until and start is None:
            start = row.rev
        elif fact.until and start is not None:
            spans.append((start, row.rev))
            start = None
    if start is not None:
        spans.append((start, float("inf")))
    return spans
