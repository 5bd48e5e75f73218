"""Combined events: the points of a long jump."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from scoring.errors import NotAMark


class CombinedTable(StrEnum):
    """Which table of points: the men's (ten events) or the women's (seven events).

    >>> CombinedTable("women").name
    'WOMEN'
    """

    MEN = "men"
    WOMEN = "women"


@dataclass(frozen=True, slots=True)
class PointsFormula:
    """Points are `floor(factor * (cm - zero_cm) ** power)`; nothing at or below `zero_cm`.

    >>> FORMULAS[CombinedTable.MEN].zero_cm
    220
    """

    factor: Fraction
    zero_cm: int
    power: Fraction

    def points(self, cm: int) -> int:
        """Work the formula out exactly.

        With power = n/d, p points are reached when p**d <= factor**d * (cm - zero_cm)**n: whole numbers on both
        sides, so no rounding can ever move a mark over or under the next point.

        >>> PointsFormula(Fraction(1), zero_cm=200, power=Fraction(3, 2)).points(300)
        1000
        """
        over_cm = max(cm - self.zero_cm, 0)
        target = self.factor**self.power.denominator * over_cm**self.power.numerator
        low, high = 0, 1
        while high**self.power.denominator <= target:
            high *= 2
        while high - low > 1:
            middle = (low + high) // 2
            if middle**self.power.denominator <= target:
                low = middle
            else:
                high = middle
        return low


# Constants of the 1985 tables as an association of combined events publishes them; that the
# result is rounded down is from memory.
FORMULAS = {
    CombinedTable.MEN: PointsFormula(Fraction("0.14354"), 220, Fraction("1.40")),
    CombinedTable.WOMEN: PointsFormula(Fraction("0.188807"), 210, Fraction("1.41")),
}


def long_jump_points(cm: int, table: CombinedTable) -> int:
    """Give the combined-events points of a long jump.

    Units: centimetres in, points out. Rule: scoring tables for combined events, long jump (1985 formula).
    Raises NotAMark below zero.

    >>> long_jump_points(776, CombinedTable.MEN), long_jump_points(727, CombinedTable.WOMEN)
    (1000, 1264)
    """
    if cm < 0:
        raise NotAMark(cm, expected="centimetres, not below zero")
    return FORMULAS[CombinedTable(table)].points(cm)
