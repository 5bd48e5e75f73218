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
    """An entry's place. `place` is None for guests and without a valid mark.

    `level`: everybody of a shared place, the entry itself too; empty for a place of one's own.
    """

    entry: str
    place: int | None
    best: int | None
    status: str = ""
    guest: bool = False
    level: tuple[str, ...] = ()
    beat: Decision | None = None
    lost_to: Decision | None = None

    @property
    def shared_with(self) -> tuple[str, ...]:
        """The others who have the same place."""
        return tuple(entry for entry in self.level if entry != self.entry)


_STATUS_ORDER = {"": 0, "NM": 1, "DNS": 2, "DQ": 3}


def rank(results: Sequence[Contender]) -> list[Placed]:
    """All entries in order of the result list, each with its place and what decided it.

    Guests stand where their mark puts them, without a place: nobody is moved down by them, shares a place with
    them or is decided against them. Marks in the meet's unit. Rule: WA TR 26 / 30 as in the module's text.

    >>> [(p.entry, p.place) for p in rank([Contender("a", (512, 498)), Contender("b", (512, 502)), Contender("c", ())])]
    [('b', 1), ('a', 2), ('c', None)]
    """
    ranked = [result for result in results if not result[2] and result[1]]
    ranked.sort(key=itemgetter(1), reverse=True)
    scorers = [result for result in ranked if not result[3]]
    placed = _placed(scorers)
    if len(scorers) < len(ranked):
        placed = _with_guests(ranked, placed)
    if len(ranked) < len(results):
        rest = [result for result in results if result[2] or not result[1]]
        rest.sort(key=lambda result: _STATUS_ORDER[result[2] or "NM"])
        placed.extend(Placed(r[0], None, None, r[2] or "NM", r[3]) for r in rest)
    return placed


def _placed(ranked: Sequence[Contender]) -> list[Placed]:
    """Places of those who compete for them, best first."""
    placed: list[Placed] = []
    lost: Decision | None = None
    position, count = 0, len(ranked)
    while position < count:
        first = ranked[position]
        marks = first[1]
        end = position + 1
        while end < count and ranked[end][1] == marks:
            end += 1
        below = ranked[end] if end < count and ranked[end][1][0] == marks[0] else None
        beat = separated(first, below) if below else None
        place = position + 1
        level = () if end == place else tuple(result[0] for result in ranked[position:end])
        for result in ranked[position:end]:
            placed.append(Placed(result[0], place, marks[0], "", False, level, beat, lost))
        # What somebody beat the next one by is what that one lost by: found once, seen from both sides.
        lost = Decision(first[0], beat[1], beat[3], beat[2]) if beat else None
        position = end
    return placed


def _with_guests(ranked: Sequence[Contender], scorers: Sequence[Placed]) -> list[Placed]:
    """The scorers' list with each guest where the mark belongs, compared with whoever is next above and below."""
    place_of = {placed.entry: placed for placed in scorers}
    groups = [list(equal) for _, equal in groupby(ranked, key=itemgetter(1))]
    placed: list[Placed] = []
    for above, group, below in zip([None, *groups], groups, [*groups[1:], None], strict=False):
        best = group[0][1][0]
        beat = separated(group[0], below[0]) if below and below[0][1][0] == best else None
        lost = separated(group[0], above[0]) if above and above[0][1][0] == best else None
        for result in group:
            guest = Placed(result[0], None, best, "", True, (), beat, lost)
            placed.append(guest if result[3] else place_of[result[0]])
    return placed


def separated(one: Contender, other: Contender) -> Decision:
    """What separates one contender from another whose best is equal, but not every mark.

    Units: marks in the meet's unit. Rule: WA TR 26 (number from memory).

    >>> separated(Contender("a", (512, 498)), Contender("b", (512, 498, 490)))
    Decision(other='b', depth=3, own=None, theirs=490)
    """
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
