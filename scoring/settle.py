"""Settle a typed-up series table: places, best, best legal, and how each place was decided.

Everybody is ranked together, whatever the group; the number of rounds is not enforced.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from scoring.explain import decided_by
from scoring.places import Contender, Placed, rank
from scoring.rulesets import RuleSet
from scoring.series_table import NotATable, SeriesLine, read_line

MOST_NAMED = 12
MOST_WARNINGS = 500
WITHOUT_PLACE = {"NM": "no valid mark", "DNS": "did not start", "DQ": "disqualified", "": "nothing measured"}


@dataclass(frozen=True, slots=True)
class Settled:
    """An athlete's place. Marks in centimetres; `status` is NM, DNS, DQ or ''; `decided_by` in words."""

    code: str
    place: int | None
    best: int | None
    best_legal: int | None
    status: str
    decided_by: str


@dataclass(frozen=True, slots=True)
class Settlement:
    """Everybody in order of the result list, and what looked wrong without being in the way.

    `unsaid`: how many more warnings there are; a table that is wrong throughout does not need every one.
    """

    rows: tuple[Settled, ...]
    warnings: tuple[str, ...] = ()
    unsaid: int = 0


class _Kept(NamedTuple):
    """What is kept of a line once it is read: a table may have a million trials, and nobody asks for them again."""

    number: int
    marks: tuple[int, ...]
    best_legal: int | None
    status: str

    @classmethod
    def of(cls, line: SeriesLine) -> _Kept:
        return cls(line.number, line.series.marks, line.series.best_legal, line.status)


def settle(rows: Iterable[tuple[int, Mapping[str, str]]], rules: RuleSet) -> Settlement:
    """Places of a table whose rows are (line number, cells by column), columns as `series_table.columns` names them.

    Units: metres in text; the answer in centimetres. Of somebody who did not start or is disqualified no mark stands.
    Best legal counts trials with a stated legal wind only. Rule: as `places.rank`.
    Raises NotATable, NotAMark, NotATrial or NotAWind, each with line and column.

    >>> from scoring.rulesets import rule_set
    >>> table = [(2, {"code": "A1", "t1": "7.98", "t2": "8.08"}), (3, {"code": "A2", "t1": "8.08", "t2": "7.84"})]
    >>> [(row.code, row.place, row.decided_by) for row in settle(table, rule_set("international")).rows[:1]]
    [('A1', 1, 'next best 7.98 against 7.84 (A1 before A2)')]
    """
    kept: dict[str, _Kept] = {}
    warnings: list[str] = []
    unsaid = 0
    for number, cells in rows:
        line = read_line(number, cells, rules)
        if line.code in kept:
            expected = f"a code that line {kept[line.code].number} does not have"
            raise NotATable(line.code, expected=expected, where=f"line {number}, column code")
        kept[line.code] = _Kept.of(line)
        said = line.warnings[: MOST_WARNINGS - len(warnings)]
        warnings.extend(said)
        unsaid += len(line.warnings) - len(said)
    placed = rank([Contender(code, line.marks, line.status) for code, line in kept.items()])
    return Settlement(tuple(_settled(p, kept[p.entry]) for p in placed), tuple(warnings), unsaid)


def _settled(placed: Placed, line: _Kept) -> Settled:
    stands = line.status not in ("DNS", "DQ")
    return Settled(
        placed.entry,
        placed.place,
        line.marks[0] if stands and line.marks else None,
        line.best_legal if stands else None,
        line.status,
        _decided(placed) if placed.place else WITHOUT_PLACE[line.status],
    )


def _decided(placed: Placed) -> str:
    """In words; a crowd that shares a place is counted, not named, or the answer would be longer than the table."""
    if len(placed.level) <= MOST_NAMED:
        return decided_by(placed, str)
    shared = f"shared with {len(placed.level) - 1} others"
    if placed.beat is None and placed.lost_to is None:
        return shared
    return f"{decided_by(placed._replace(level=()), str)}; {shared}"
