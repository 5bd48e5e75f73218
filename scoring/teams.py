"""Team points of one event: exact fractions by place, schools' limits, A and B strings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from scoring.errors import RuleError

EIGHT_PLACES = (8, 7, 6, 5, 4, 3, 2, 1)
EIGHT_PLACES_TEN_FOR_THE_FIRST = (10, 8, 6, 5, 4, 3, 2, 1)


class NotAScore(RuleError):
    """A number that cannot be used in scoring teams.

    >>> str(NotAScore(-1, expected="a number of scorers per school, 0 for all"))
    '-1 cannot be scored; expected a number of scorers per school, 0 for all'
    """

    says = "cannot be scored"


class OverLimit(StrEnum):
    """What becomes of athletes over their school's limit: they take up a place, or those below move up.

    >>> OverLimit("are skipped").name
    'SKIPPED'
    """

    TAKE_UP_A_PLACE = "take up a place"
    SKIPPED = "are skipped"


class NoPoints(StrEnum):
    """Why an entry is not scored at all.

    >>> NoPoints("over-the-limit").name
    'OVER_THE_LIMIT'
    """

    GUEST = "guest"
    NO_MARK = "no-mark"
    NO_PLACE = "no-place"
    OVER_THE_LIMIT = "over-the-limit"
    NO_STRING = "no-string"


class ScoringLine(NamedTuple):
    """What scoring needs to know of an entry in one event.

    `place` is the place among those who can have one, None without. `took_part` is false for one who did not
    start and for one found ineligible: such an A string leaves a lone B.

    >>> ScoringLine("e1", "MAR", "A", 1).has_mark
    True
    """

    entry: str
    school: str
    string: str
    place: int | None
    guest: bool = False
    has_mark: bool = True
    took_part: bool = True


@dataclass(frozen=True, slots=True)
class EntryPoints:
    """What an entry scored: in the `table` "A", "B" or "" (a single one), at a `position` among its scorers.

    Units: points, exact. `no_points` says why an entry was not scored; one over the limit may hold a position.

    >>> EntryPoints("e1", "MAR", table="", position=9).points
    Fraction(0, 1)
    """

    entry: str
    school: str
    table: str = ""
    position: int | None = None
    points: Fraction = Fraction(0)
    no_points: NoPoints | None = None


def match_points(schools: int) -> tuple[int, ...]:
    """Give the points of a match of n schools, n for the first, fixed even when some send nobody.

    Rule: common practice.

    >>> match_points(5)
    (5, 4, 3, 2, 1)
    """
    return tuple(range(schools, 0, -1))


def event_points(
    lines: Sequence[ScoringLine],
    *,
    points: Sequence[int | Fraction],
    b_points: Sequence[int | Fraction] = (),
    scorers_per_school: int = 0,
    over_limit: OverLimit = OverLimit.TAKE_UP_A_PLACE,
    better_is_a: bool = False,
    lone_b_moves_up: bool = True,
) -> tuple[EntryPoints, ...]:
    """Score one event, in the order of the lines.

    Shared places share the points of the places covered. Guests never score: the first scorer gets the
    first's points. No valid mark, no points. At most `scorers_per_school` score, 0 for all; `over_limit` says
    what the others do to those below. With `b_points` a school's A and B strings are scored in tables of
    their own, one each, and those two fields mean nothing; A and B are as declared or, if `better_is_a`, the
    better of the pair is A; a B string is lone when nobody else of its school took part.
    Rule: common practice, every choice a field. Raises NotAScore.

    >>> first, second = ScoringLine("e1", "MAR", "A", 1), ScoringLine("e2", "THO", "A", 1)
    >>> third = ScoringLine("e3", "MAR", "B", 3)
    >>> [str(scored.points) for scored in event_points((first, second, third), points=(8, 7, 6))]
    ['15/2', '15/2', '6']
    """
    if scorers_per_school < 0:
        raise NotAScore(scorers_per_school, expected="a number of scorers per school, 0 for all")
    refused = {line.entry: reason for line in lines if (reason := _why_unscored(line))}
    in_order = sorted((line for line in lines if line.entry not in refused), key=_rank)
    if b_points:
        counts_as = _strings(lines, in_order, better_is_a, lone_b_moves_up)
        refused |= {entry: as_ for entry, as_ in counts_as.items() if isinstance(as_, NoPoints)}
        scored = [
            entry
            for table, worth in (("A", points), ("B", b_points))
            for entry in _share(table, [line for line in in_order if counts_as[line.entry] == table], worth)
        ]
    else:
        over = _over_the_limit(in_order, scorers_per_school)
        refused |= dict.fromkeys(over, NoPoints.OVER_THE_LIMIT)
        if over_limit is OverLimit.SKIPPED:
            in_order = [line for line in in_order if line.entry not in over]
        scored = _share("", in_order, points, nothing_for=over)
    found = {entry.entry: entry for entry in scored}
    return tuple(
        found.get(line.entry) or EntryPoints(line.entry, line.school, no_points=refused.get(line.entry))
        for line in lines
    )


def _why_unscored(line: ScoringLine) -> NoPoints | None:
    if line.guest:
        return NoPoints.GUEST
    if not line.has_mark:
        return NoPoints.NO_MARK
    return NoPoints.NO_PLACE if line.place is None else None


def _place(line: ScoringLine) -> int:
    return line.place or 0


def _rank(line: ScoringLine) -> tuple[int, bool, str, str]:
    """By place; schoolmates who share one in the order of their strings."""
    return (_place(line), not line.string, line.string, line.entry)


def _over_the_limit(in_order: Iterable[ScoringLine], limit: int) -> set[str]:
    counted: Counter[str] = Counter()
    over = set()
    for line in in_order:
        counted[line.school] += 1
        if limit and counted[line.school] > limit:
            over.add(line.entry)
    return over


def _strings(
    lines: Iterable[ScoringLine], in_order: Iterable[ScoringLine], better_is_a: bool, lone_b_moves_up: bool
) -> dict[str, NoPoints | str]:
    """Say of each entry whether it scores as "A" or "B", or why as neither."""
    present: dict[str, set[str]] = {}
    for line in lines:
        if line.took_part and not line.guest:
            present.setdefault(line.school, set()).add(line.string)
    taken: set[tuple[str, str]] = set()
    counts_as: dict[str, NoPoints | str] = {}
    for line in in_order:
        wanted = [line.string] if line.string in ("A", "B") else []
        if present.get(line.school) == {"B"}:
            wanted = ["A", "B"] if lone_b_moves_up else ["B"]
        elif better_is_a and line.string in ("A", "B", ""):
            wanted = ["A", "B"]
        free = [string for string in wanted if (line.school, string) not in taken]
        taken |= {(line.school, string) for string in free[:1]}
        no_points = NoPoints.OVER_THE_LIMIT if wanted else NoPoints.NO_STRING
        counts_as[line.entry] = free[0] if free else no_points
    return counts_as


def _share(
    table: str,
    in_order: Iterable[ScoringLine],
    points: Sequence[int | Fraction],
    nothing_for: Iterable[str] = (),
) -> list[EntryPoints]:
    """Give each place's points, those of all the places covered shared by those who share it."""
    scored: list[EntryPoints] = []
    for _, sharing in groupby(in_order, key=_place):
        group = list(sharing)
        first = len(scored)
        share = Fraction(sum(points[first : first + len(group)])) / len(group)
        for line in group:
            over = line.entry in nothing_for
            reason = NoPoints.OVER_THE_LIMIT if over else None
            got = Fraction(0) if over else share
            scored.append(EntryPoints(line.entry, line.school, table, first + 1, got, reason))
    return scored
