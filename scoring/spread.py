"""Spreading: schoolmates moved apart in an order by lot, changing the lot as little as possible."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import TypeVar

Item = TypeVar("Item")


def spread_apart(lot: Sequence[Item], *, school: Callable[[Item], str], before: Sequence[Item] = ()) -> list[Item]:
    """Move schoolmates apart in an order by lot, to at least half of the widest gap that there can be.

    Only half, so that the second athletes of the schools do not repeat the order of the first; never
    neighbours if that can be avoided. `before` are those who jump just before, kept apart from too where possible.
    Rule: common practice.

    >>> "".join(spread_apart("MMMTTB", school=str))
    'MTMTMB'
    """
    gap = gap_wanted([school(item) for item in lot])
    for earlier in (before, ()):
        order = _arrange(lot, gap, earlier, school)
        if _gap_kept([school(item) for item in (*earlier, *order)], gap, len(earlier)):
            return order
    return _arrange(lot, gap, (), school, most_left_first=True)


def gap_wanted(schools: Sequence[str]) -> int:
    """Say how many places on a schoolmate should be: 2, which is "no neighbours", or half the widest gap.

    Rule: common practice.

    >>> gap_wanted("MMMTTB"), gap_wanted("MTBNEF" * 2), gap_wanted("MMMM")
    (2, 3, 2)
    """
    counts = list(Counter(schools).values())
    most = max(counts, default=1)
    widest = (len(schools) - counts.count(most)) // max(most - 1, 1)
    return max(2, (widest + 1) // 2)


def _arrange(
    lot: Sequence[Item],
    gap: int,
    before: Sequence[Item],
    school: Callable[[Item], str],
    *,
    most_left_first: bool = False,
) -> list[Item]:
    """Fill the places one by one with the first of the lot whose school is not too close.

    A school that needs every `gap`th of the places left goes first. That may still run out of other schools;
    taking the school with most athletes left never does while the gap is possible, but is less of a lot.
    """
    waiting, order = list(lot), list(before)
    while waiting:
        left = Counter(school(item) for item in waiting)
        recent = {school(item) for item in order[max(0, len(order) - gap + 1) :]}
        free = [item for item in waiting if school(item) not in recent] or waiting
        must = [item for item in free if (left[school(item)] - 1) * gap >= len(waiting) - 1]
        if most_left_first:
            must = [max(free, key=lambda item: left[school(item)])]
        chosen = (must or free)[0]
        waiting.remove(chosen)
        order.append(chosen)
    return order[len(before) :]


def _gap_kept(schools: Sequence[str], gap: int, start: int) -> bool:
    return all(schools[place] not in schools[max(0, place - gap + 1) : place] for place in range(start, len(schools)))
