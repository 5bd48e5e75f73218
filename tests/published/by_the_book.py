"""The rule text read word by word, slowly, and written without sight of `scoring`: what the fast code must equal.

Places (WA TR 26 for the principle, numbers from memory): "the second best performance of the athletes having the
same best performance decides, then, if necessary, the third best, and so on"; athletes still equal share the place.
The cut (WA TR 25, from memory): the eight athletes with the best valid performances go on; a tie for the last place
is resolved like places, and if it remains all of them go on. Guests and withdrawals: three fields of local custom.
"""

from __future__ import annotations

from dataclasses import dataclass


def compare(one: list[int], other: list[int]) -> int:
    """1 if `one` is ahead, -1 if behind, 0 if nothing separates them: strike out equal bests until they differ."""
    left, right = list(one), list(other)
    while left and right:
        best_left, best_right = max(left), max(right)
        if best_left != best_right:
            return 1 if best_left > best_right else -1
        left.remove(best_left)
        right.remove(best_right)
    if left:
        return 1
    return -1 if right else 0


@dataclass(frozen=True)
class Jumper:
    """What the book needs to know: valid marks in any order, and whether they compete for places."""

    name: str
    marks: tuple[int, ...]
    status: str = ""
    guest: bool = False
    withdrawn: bool = False
    klass: str = ""

    @property
    def has_place(self) -> bool:
        return bool(self.marks) and not self.status and not self.guest


def places(jumpers: list[Jumper]) -> dict[str, int | None]:
    """Everybody's place: one more than the number of athletes ahead. Guests and those without a mark have none."""
    found: dict[str, int | None] = {}
    for jumper in jumpers:
        rivals = [rival for rival in jumpers if rival.has_place]
        ahead = [rival for rival in rivals if compare(list(rival.marks), list(jumper.marks)) > 0]
        found[jumper.name] = len(ahead) + 1 if jumper.has_place else None
    return found


def sharers(jumpers: list[Jumper], name: str) -> set[str]:
    """The others who share this athlete's place."""
    me = next(jumper for jumper in jumpers if jumper.name == name)
    if not me.has_place:
        return set()
    return {
        other.name
        for other in jumpers
        if other is not me and other.has_place and compare(list(other.marks), list(me.marks)) == 0
    }


def going_on(
    jumpers: list[Jumper],
    how_many: int,
    *,
    guests_hold_place: bool = False,
    guests_go_on: bool = True,
    withdrawn_replaced: bool = False,
) -> set[str]:
    """Who takes the further trials: fewer than `how_many` holders of a place are ahead of them."""

    def competes(jumper: Jumper) -> bool:
        return bool(jumper.marks) and not jumper.status

    def holds(jumper: Jumper) -> bool:
        if not competes(jumper):
            return False
        if jumper.guest and not guests_hold_place:
            return False
        return not (jumper.withdrawn and withdrawn_replaced)

    found = set()
    for jumper in jumpers:
        if not competes(jumper) or jumper.withdrawn:
            continue
        if jumper.guest and not (guests_go_on or guests_hold_place):
            continue
        ahead = [r for r in jumpers if holds(r) and compare(list(r.marks), list(jumper.marks)) > 0]
        if len(ahead) < how_many:
            found.add(jumper.name)
    return found
