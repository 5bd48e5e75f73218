"""Turns as they stand: for every turn the trial, its wind, its protest, and whether two recorders agree."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from scoring.facts import (
    AppealDecided,
    AppealLodged,
    BoardSet,
    Jumped,
    NoGauge,
    ProtestDecided,
    ProtestLodged,
    WindRead,
)
from scoring.log import Row, Standing, Turn, agree
from scoring.state import Appeal, Protest, StartLine, TurnState
from scoring.trials import Result, Trial
from scoring.wind import NWI, Wind

_REPLACED = "replacement trial given"


def protests_of(log: Standing) -> tuple[Protest, ...]:
    """Every protest in the order it was lodged, with its decision if there is one."""
    return tuple(protest for _, protest in lodged(log))


def lodged(log: Standing) -> tuple[tuple[int, Protest], ...]:
    """Every protest in the order of the log, each with the rev at which it was first lodged.

    >>> from scoring.log import standing
    >>> log = standing([Row("a", 1, ProtestLodged("p1", "31", 2)), Row("b", 2, ProtestDecided("p1", True))])
    >>> [(rev, protest.entry, protest.upheld) for rev, protest in lodged(log)]
    [(1, '31', True)]
    """
    decided = {fact.protest: (row, fact.upheld) for row, fact in log.of(ProtestDecided)}
    appealed = {fact.protest: (row, fact.by or row.by) for row, fact in log.of(AppealLodged)}
    by_jury = {fact.protest: (row, fact.upheld) for row, fact in log.of(AppealDecided)}
    found = []
    for row, fact in log.of(ProtestLodged):
        first = log.first_rev(row)
        protest = Protest(
            fact.protest, fact.entry, fact.round, fact.replacement, fact.by or row.by, row.reason, row.at, upheld=None
        )
        # A decision is about what was lodged before it: a name used again is a protest of its own.
        referee = decided.get(fact.protest)
        if referee and referee[0].rev > first:
            said, upheld = referee
            protest = replace(protest, upheld=upheld, decision=said.reason, decided_at=said.at)
            appeal, jury = appealed.get(fact.protest), by_jury.get(fact.protest)
            if appeal and appeal[0].rev > first:
                protest = _appealed(protest, *appeal, jury)
        found.append((first, protest))
    return tuple(found)


def _appealed(protest: Protest, row: Row, by: str, jury: tuple[Row, bool] | None) -> Protest:
    """With the appeal, and with what the jury said after it; a later appeal is open again."""
    if jury is None or jury[0].rev < row.rev:
        return replace(protest, appeal=Appeal(by, row.reason, row.at))
    said, upheld = jury
    return replace(protest, upheld=upheld, appeal=Appeal(by, row.reason, row.at, True, said.reason))


def about_what_stands(log: Standing) -> tuple[Protest, ...]:
    """The protests that are about the event, or about a trial that stands: not about one that was voided."""
    return tuple(protest for rev, protest in lodged(log) if not _is_about_void(rev, protest, log))


def _is_about_void(rev: int, protest: Protest, log: Standing) -> bool:
    turn = Turn(protest.entry, protest.round, protest.replacement)
    return bool(log.void.get(turn)) and not any(_is_about(rev, row, turn, log) for row in log.heads.get(turn, ()))


def _is_about(rev: int, row: Row, turn: Turn, log: Standing) -> bool:
    """Whether a protest lodged at `rev` about a turn is about this trial of it, and not about one that was voided.

    A trial keeps its protests through corrections. What was lodged before any trial of the turn was written is about
    the first one: rows may come in late.
    """
    void = log.void.get(turn, ())
    if row in void:
        ended = min(later.rev for later in log.rows if row.id in later.supersedes)
        return log.first_rev(row) < rev < ended
    return log.first_rev(row) < rev or not any(log.first_rev(old) < rev for old in void)


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
                self._protests[Turn(protest.entry, protest.round, protest.replacement)].append((rev, protest))
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
        void = [(self._trial(row, turn, winds), row_reason(row, log)) for row in log.void.get(turn, ())]
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
        return [protest.upheld for rev, protest in self._protests.get(turn, ()) if _is_about(rev, row, turn, self._log)]

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


def row_reason(row: Row, log: Standing) -> str:
    """Why a row does not stand: the reason of the row that supersedes it."""
    return next((later.reason for later in log.rows if row.id in later.supersedes), "")


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
