"""Places: best, next best, shared places; guests, NM, DNS and DQ; each with what decided it.

WA: equal best marks are separated by the next best, then the third best, and so on; a missing next best loses to any
mark; athletes equal throughout share the place and the next number is skipped. The wind plays no part.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from operator import itemgetter
from typing import NamedTuple


class Contender(NamedTuple):
    """What an entry brings to the ranking. `marks`: valid marks, best first. `status`: '', NM, DNS or DQ."""

    entry: str
    marks: tuple[int, ...]
    status: str = ""
    guest: bool = False
    klass: str = ""


class Decision(NamedTuple):
    """Equal in best with `other`; the `depth`-th best separated them. `theirs` or `own` is None if missing."""

    other: str
    depth: int
    own: int | None
    theirs: int | None


class Placed(NamedTuple):
    """An entry's place. `place` is None for guests and without a valid mark."""

    entry: str
    place: int | None
    best: int | None
    status: str = ""
    guest: bool = False
    shared_with: tuple[str, ...] = ()
    beat: Decision | None = None
    lost_to: Decision | None = None


_STATUS_ORDER = {"": 0, "NM": 1, "DNS": 2, "DQ": 3}


def rank(results: Sequence[Contender]) -> list[Placed]:
    """All entries in order of the result list, each with its place and what decided it.

    Guests stand where their mark puts them, without a place, and nobody is moved down by them. Marks in the meet's
    unit. Rule: WA TR 26 / 30 as in the module's text.

    >>> [(p.entry, p.place) for p in rank([Contender("a", (512, 498)), Contender("b", (512, 502)), Contender("c", ())])]
    [('b', 1), ('a', 2), ('c', None)]
    """
    ranked = [result for result in results if not result[2] and result[1]]
    ranked.sort(key=itemgetter(1), reverse=True)
    placed: list[Placed] = []
    next_place = 1
    above: Contender | None = None
    position, count = 0, len(ranked)
    while position < count:
        first = ranked[position]
        marks = first[1]
        end = position + 1
        while end < count and ranked[end][1] == marks:
            end += 1
        below = ranked[end] if end < count and ranked[end][1][0] == marks[0] else None
        beat = _separated(first, below) if below else None
        lost = _separated(first, above) if above and above[1][0] == marks[0] else None
        if end - position == 1:
            entry, _, _, guest, _ = first
            placed.append(Placed(entry, None if guest else next_place, marks[0], "", guest, (), beat, lost))
            next_place += not guest
        else:
            next_place = _share(ranked[position:end], next_place, beat, lost, placed)
        above = first
        position = end
    rest = [result for result in results if result[2] or not result[1]]
    rest.sort(key=lambda result: _STATUS_ORDER[result[2] or "NM"])
    placed.extend(Placed(r[0], None, None, r[2] or "NM", r[3]) for r in rest)
    return placed


def _share(
    group: Sequence[Contender], place: int, beat: Decision | None, lost: Decision | None, placed: list[Placed]
) -> int:
    """Give everybody of `group` the same place; the next place to give."""
    takers = 0
    for result in group:
        others = tuple(other[0] for other in group if other is not result)
        own_place = None if result[3] else place
        placed.append(Placed(result[0], own_place, result[1][0], "", result[3], others, beat, lost))
        takers += not result[3]
    return place + takers


def _separated(one: Contender, other: Contender) -> Decision:
    for depth, (own, theirs) in enumerate(zip(one[1], other[1], strict=False), 1):
        if own != theirs:
            return Decision(other[0], depth, own, theirs)
    shorter = min(len(one[1]), len(other[1]))
    longer_own = one[1][shorter] if len(one[1]) > shorter else None
    longer_theirs = other[1][shorter] if len(other[1]) > shorter else None
    return Decision(other[0], shorter + 1, longer_own, longer_theirs)


def rank_by_class(results: Iterable[Contender]) -> list[Placed]:
    """The same with places of their own for each impairment class, classes in the order of their names.

    >>> [(p.entry, p.place) for p in rank_by_class([Contender("a", (512,)), Contender("b", (498,), klass="T20")])]
    [('a', 1), ('b', 1)]
    """
    ordered = sorted(results, key=lambda result: result.klass)
    return [placed for _, group in groupby(ordered, key=lambda result: result.klass) for placed in rank(list(group))]
