"""Log rows, and what of them stands: corrections, voided rows, two recorders, disagreements.

A row is never changed or removed. A correction is a new row that names the rows it supersedes; a row that any other
names does not stand, whatever order they arrived in.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple, Protocol, TypeVar

from scoring.facts import Fact, Jumped, Replaced, Voided, WindRead


@dataclass(frozen=True, slots=True)
class Row:
    """One row of an event's log. `rev` is its position; `recorder` names the record it belongs to (pit, paper ...).

    Two recorders keep two records of one event; `by` is the person, `reason` why a correction was made, `at` when.
    """

    id: str
    rev: int
    fact: Fact
    supersedes: tuple[str, ...] = ()
    recorder: str = ""
    by: str = ""
    reason: str = ""
    at: datetime | None = None


class OfTurn(Protocol):
    """What is said of one turn: a trial, a wind, a protest."""

    @property
    def entry(self) -> str: ...

    @property
    def round(self) -> int: ...

    @property
    def replacement(self) -> int: ...


class Turn(NamedTuple):
    """One turn at the board: replacement 0 is the turn itself, 1 its first replacement trial."""

    entry: str
    round: int
    replacement: int = 0

    @classmethod
    def of(cls, said: OfTurn) -> Turn:
        """The turn that something is said of."""
        return cls(said.entry, said.round, said.replacement)


F = TypeVar("F")


@dataclass(slots=True)
class Standing:
    """What stands of a log. Rows in log order; `heads` of a turn are trials that nothing supersedes.

    Where a turn has several, the pit's own record comes first, then the second recorder's, then the others.
    """

    rows: tuple[Row, ...]
    superseded: frozenset[str]
    live: dict[type, list[Row]] = field(default_factory=lambda: defaultdict(list))
    heads: dict[Turn, list[Row]] = field(default_factory=lambda: defaultdict(list))
    winds: dict[Turn, list[Row]] = field(default_factory=lambda: defaultdict(list))
    void: dict[Turn, list[Row]] = field(default_factory=lambda: defaultdict(list))
    replaced: set[Turn] = field(default_factory=set)
    by_id: dict[str, Row] = field(default_factory=dict)

    def of(self, kind: type[F]) -> list[tuple[Row, F]]:
        """Rows of one kind that stand, in log order, each with its fact."""
        return [(row, row.fact) for row in self.live.get(kind, ()) if isinstance(row.fact, kind)]

    def first_rev(self, row: Row) -> int:
        """When what this row says was first written down: a correction, however late, does not move it."""
        return self.first(row).rev

    def first(self, row: Row) -> Row:
        """The row by which what this row says was first written down.

        >>> log = standing([Row("a", 1, Voided()), Row("b", 7, Voided(), supersedes=("a",))])
        >>> log.first(log.rows[1]).id
        'a'
        """
        if not row.supersedes:
            return row
        seen, todo, first = set[str](), [row], row
        while todo:
            current = todo.pop()
            first = min(first, current, key=lambda known: known.rev)
            seen.add(current.id)
            todo += [self.by_id[old] for old in current.supersedes if old in self.by_id and old not in seen]
        return first

    def ended_by(self, row: Row) -> Row:
        """The first row, in log order, that takes the place of a row which does not stand."""
        return next(later for later in self.rows if row.id in later.supersedes)

    def last(self, kind: type[F]) -> F | None:
        """The fact of the last standing row of this kind."""
        rows = self.live.get(kind)
        return rows[-1].fact if rows else None  # type: ignore[return-value]


def standing(rows: Iterable[Row]) -> Standing:
    """What of a log stands.

    >>> from scoring.facts import Jumped
    >>> from scoring.trials import Result
    >>> first = Row("r1", 1, Jumped("31", 1, Result.MARK, 534))
    >>> right = Row("r2", 2, Jumped("31", 1, Result.MARK, 543), supersedes=("r1",), reason="misheard")
    >>> [row.id for row in standing([first, right]).heads[Turn("31", 1)]]
    ['r2']
    """
    ordered = tuple(sorted(rows, key=lambda row: row.rev))
    superseded = frozenset(old for row in ordered for old in row.supersedes)
    voided = frozenset(old for row in ordered if type(row.fact) is Voided for old in row.supersedes)
    found = Standing(ordered, superseded, by_id={row.id: row for row in ordered})
    for row in ordered:
        fact = row.fact
        stands = row.id not in superseded
        if stands:
            found.live[type(fact)].append(row)
        if isinstance(fact, Jumped):
            turn = Turn.of(fact)
            if stands:
                found.heads[turn].append(row)
            elif row.id in voided:
                found.void[turn].append(row)
        elif stands and isinstance(fact, WindRead):
            found.winds[Turn.of(fact)].append(row)
        elif stands and isinstance(fact, Replaced):
            found.replaced.add(Turn.of(fact))
    for several in (*found.heads.values(), *found.winds.values()):
        if len(several) > 1:
            several.sort(key=precedence)
    return found


LEADING = ("pit", "second recorder")
"""Records in the order in which they are believed until the referee has settled a disagreement."""


def precedence(row: Row) -> tuple[int, str]:
    """What arrived first says nothing where phones deliver when they can: only what the row itself says counts."""
    return (LEADING.index(row.recorder) if row.recorder in LEADING else len(LEADING), row.id)


def agree(heads: Sequence[Row]) -> bool:
    """Whether rows of one turn say the same: result and mark of trials, tenths of winds.

    Two recorders' equal rows confirm each other; anything else is a disagreement that the referee settles.
    """
    return len({_said(row.fact) for row in heads}) <= 1


def _said(fact: Fact) -> tuple[object, ...]:
    if isinstance(fact, Jumped):
        return (fact.result, fact.mark, fact.under_protest)
    assert isinstance(fact, WindRead)
    return (fact.tenths,)
