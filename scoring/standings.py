"""Team standings: schools' totals over the events of a match, with what they are made of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple

from scoring.teams import EntryPoints, NoPoints, NotAScore


class Ties(StrEnum):
    """Equal totals stay equal, or most first places decide, then seconds and so on.

    >>> Ties("most firsts").name
    'MOST_FIRSTS'
    """

    EQUAL = "stay equal"
    MOST_FIRSTS = "most firsts"


class Penalty(NamedTuple):
    """Points taken from a school, with the reason: a line of its own.

    >>> Penalty("MAR", 3, "ineligible athlete").points
    3
    """

    school: str
    points: int | Fraction
    reason: str


@dataclass(frozen=True, slots=True)
class TotalLine:
    """One line of a school's total: an entry's points in an event, or a penalty (below zero, with `reason`).

    >>> TotalLine(points=Fraction(-3), reason="ineligible athlete").event
    ''
    """

    points: Fraction
    event: str = ""
    entry: str = ""
    table: str = ""
    position: int | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class SchoolTotal:
    """A school's place and total. `wins` counts its first places, second places, ... in the main tables.

    >>> SchoolTotal("MAR", 1, Fraction(15, 2), wins=(1,), lines=()).points
    Fraction(15, 2)
    """

    school: str
    place: int
    points: Fraction
    wins: tuple[int, ...]
    lines: tuple[TotalLine, ...]


def team_totals(
    events: Mapping[str, Iterable[EntryPoints]],
    *,
    schools: Iterable[str] = (),
    penalties: Iterable[Penalty] = (),
    ties: Ties = Ties.EQUAL,
) -> tuple[SchoolTotal, ...]:
    """Add up the match, best school first; equal schools share a place, in the order of their keys.

    `schools` are those of the match, listed even without points. A shared first place is a first for both.
    Rule: common practice, the way of breaking ties a field. Raises NotAScore for a penalty below zero.

    >>> won = (EntryPoints("e1", "MAR", position=1, points=Fraction(15, 2)),)
    >>> [(total.place, total.school, str(total.points)) for total in team_totals({"LJ": won}, schools=["THO"])]
    [(1, 'MAR', '15/2'), (2, 'THO', '0')]
    """
    lines: dict[str, list[TotalLine]] = {school: [] for school in schools}
    for event, entries in events.items():
        for scored in entries:
            if scored.no_points is not NoPoints.GUEST:
                own = lines.setdefault(scored.school, [])
                if scored.points:
                    own.append(TotalLine(scored.points, event, scored.entry, scored.table, scored.position))
    for school, points, reason in penalties:
        if points < 0:
            raise NotAScore(points, expected="the points taken away, not below zero")
        lines.setdefault(school, []).append(TotalLine(-Fraction(points), reason=reason))
    wins = {school: _wins(own) for school, own in lines.items()}
    totals = {school: sum((line.points for line in own), Fraction(0)) for school, own in lines.items()}

    def standing(school: str) -> tuple[Fraction, tuple[int, ...]]:
        return (totals[school], wins[school] if ties is Ties.MOST_FIRSTS else ())

    standings = [standing(school) for school in lines]
    return tuple(
        SchoolTotal(
            school,
            1 + sum(other > standing(school) for other in standings),
            totals[school],
            wins[school],
            tuple(lines[school]),
        )
        for school in sorted(sorted(lines), key=standing, reverse=True)
    )


def _wins(lines: Iterable[TotalLine]) -> tuple[int, ...]:
    at = Counter(line.position for line in lines if line.position and line.table != "B")
    return tuple(at[position] for position in range(1, max(at, default=0) + 1))
