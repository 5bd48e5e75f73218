"""Two records of one event: what of a log one of them holds alone, and how they compare at the end of a round.

A record is what one recorder writes down: trials and winds. Everything else in a log, decisions, boards, leaves, is
there for both. The second is written without sight of the first, or it would be worth nothing (common practice).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from scoring.facts import Jumped, WindRead
from scoring.log import Row, Standing, Turn, agree, standing


def alone(rows: Iterable[Row], record: str) -> tuple[Row, ...]:
    """The log as one record has it: without trials and winds of the others.

    A row that replaces one of its own stays, whoever wrote it: the referee has settled a difference, and both
    records are in by then.

    >>> from scoring.trials import Result
    >>> log = [Row("a", 1, Jumped("31", 1, Result.MARK, 543), recorder="pit"),
    ...        Row("b", 2, Jumped("31", 1, Result.MARK, 534), recorder="second"),
    ...        Row("c", 3, Jumped("31", 1, Result.MARK, 543), ("a", "b"), "referee"),
    ...        Row("d", 4, Jumped("17", 1, Result.MARK, 512), recorder="pit")]
    >>> [row.id for row in alone(log, "second")]
    ['b', 'c']
    """
    kept: dict[str, Row] = {}
    for row in sorted(rows, key=lambda row: row.rev):
        record_row = isinstance(row.fact, Jumped | WindRead)
        replaced = (kept[old] for old in row.supersedes if old in kept)
        if not record_row or row.recorder == record or any(type(old.fact) is type(row.fact) for old in replaced):
            kept[row.id] = row
    return tuple(kept.values())


def without_the_lone(rows: Sequence[Row], record: str) -> Sequence[Row]:
    """The log without trials that only `record` has: the turn is still to be written down in the other one.

    >>> from scoring.trials import Result
    >>> log = [Row("a", 1, Jumped("31", 1, Result.MARK, 543), recorder="second"),
    ...        Row("b", 2, Jumped("17", 1, Result.MARK, 512), recorder="second"),
    ...        Row("c", 3, Jumped("17", 1, Result.MARK, 512), recorder="pit")]
    >>> [row.id for row in without_the_lone(log, "second")]
    ['b', 'c']
    """
    heads = standing(rows).heads.values()
    lone = {row.id for own in heads if all(row.recorder == record for row in own) for row in own}
    return [row for row in rows if row.id not in lone] if lone else rows


@dataclass(frozen=True, slots=True)
class Difference:
    """A turn on which two records differ, in its trial or its wind; None where that record has nothing."""

    turn: Turn
    own: Row | None
    other: Row | None

    @property
    def is_wind(self) -> bool:
        return any(row is not None and isinstance(row.fact, WindRead) for row in (self.own, self.other))


@dataclass(frozen=True, slots=True)
class Compared:
    """A round in two records: of `turns` written in either, those that differ. A blank is a difference."""

    round: int
    turns: tuple[Turn, ...]
    differences: tuple[Difference, ...]

    @property
    def agree(self) -> int:
        """How many turns are alike in both."""
        return len(self.turns) - len({difference.turn for difference in self.differences})

    @property
    def blanks(self) -> tuple[Difference, ...]:
        """Turns that one of the two has and the other has not."""
        return tuple(one for one in self.differences if one.own is None or one.other is None)


def compare(log: Standing, record: str, round: int, *, among: Collection[str] | None = None) -> Compared:
    """Compare a record with everything else that was written of a round, turn by turn, in the order of the log.

    `among`: these entries only, as those of one flight. A difference that was settled by a row replacing both is none
    any more. A wind is compared where both have one.
    Rule: common practice (both recorders read the round to each other at its end).

    >>> from scoring.log import standing
    >>> from scoring.trials import Result
    >>> rows = [Row("a", 1, Jumped("31", 1, Result.MARK, 543), recorder="pit"),
    ...         Row("b", 2, Jumped("31", 1, Result.MARK, 534), recorder="second"),
    ...         Row("c", 3, Jumped("17", 1, Result.FAIL), recorder="pit")]
    >>> compared = compare(standing(rows), "second", 1)
    >>> compared.agree, [(one.turn.entry, one.own and one.own.id) for one in compared.differences]
    (0, [('31', 'b'), ('17', None)])
    """
    written: dict[Turn, set[bool]] = {}
    for row in log.rows:
        fact = row.fact
        if isinstance(fact, Jumped) and fact.round == round and (among is None or fact.entry in among):
            turn = Turn.of(fact)
            if row not in log.void.get(turn, ()):
                written.setdefault(turn, set()).update(name == record for name in _records(row, log))
    differences = []
    for turn, by in written.items():
        heads, winds = log.heads.get(turn, []), log.winds.get(turn, [])
        if len(by) == 1 or not agree(heads):
            differences.append(Difference(turn, *_both(heads, record)))
        elif not agree(winds):
            differences.append(Difference(turn, *_both(winds, record)))
    return Compared(round, tuple(written), tuple(differences))


def _records(row: Row, log: Standing) -> set[str]:
    """The record of a row and those of all that it replaces, as of a difference that the referee has settled."""
    seen, todo = {row.id: row}, [row]
    while todo:
        current = todo.pop()
        for old in current.supersedes:
            if old in log.by_id and old not in seen:
                seen[old] = log.by_id[old]
                todo.append(seen[old])
    return {one.recorder for one in seen.values() if isinstance(one.fact, Jumped)}


def _both(heads: Sequence[Row], record: str) -> tuple[Row | None, Row | None]:
    own = next((row for row in heads if row.recorder == record), None)
    return own, next((row for row in heads if row.recorder != record), None)
