"""Which marks of an event can be put forward as records, and why others that are long enough cannot.

A claim is proposed here; that it becomes a record is decided by officials who confirm board, measuring and wind.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from scoring.log import Turn
from scoring.marks import HUNDREDTHS_OF_MM_IN_A_UNIT as HUNDREDTHS_OF_MM
from scoring.marks import Unit
from scoring.rulesets import RuleSet
from scoring.wind import WindStatus


class WhyNot(StrEnum):
    """Why a mark that would beat or equal a record is no claim."""

    TAKE_OFF_ZONE = "take-off zone"
    GUEST = "guest"
    NOT_SETTLED = "not settled"
    OTHER_UNIT = "other unit"
    WIND_OWED = "wind owed"
    NWI = "nwi"
    WINDY = "windy"


@dataclass(frozen=True, slots=True)
class Bar:
    """The record that stands in a book before the event: its mark in the book's own unit.

    `needs_wind`: a legal wind is needed. `takes_guests`: guests may set it whatever the rule set says of them, as
    in the book of a school, whose own pupils they are.
    """

    mark: int
    unit: Unit = Unit.CM
    needs_wind: bool = True
    takes_guests: bool = False


@dataclass(frozen=True, slots=True)
class Jump:
    """A valid mark in the meet's unit. `settled`: no protest is open about it and recorders do not differ."""

    turn: Turn
    mark: int
    wind: WindStatus
    guest: bool = False
    settled: bool = True


@dataclass(frozen=True, slots=True)
class Found:
    """A mark that beats or equals what stood when it was jumped. `mark` in the book's unit, None if it has none there.

    Without `why_not` it is a claim. `beaten`: a later claim of the same event is longer.
    """

    jump: Jump
    mark: int | None
    equals: bool
    why_not: WhyNot | None = None
    beaten: bool = False

    @property
    def is_claim(self) -> bool:
        return self.why_not is None


def exactly_in(mark: int, unit: Unit, wanted: Unit) -> int | None:
    """The same length in another unit, or None where that would need rounding.

    Units: the mark in `unit` in, in `wanted` out. Rule: 1 inch is 25.4 mm; 1.27 m are exactly 50 inches.

    >>> exactly_in(508, Unit.CM, Unit.QUARTER_INCH), exactly_in(509, Unit.CM, Unit.QUARTER_INCH)
    (800, None)
    """
    whole, rest = divmod(mark * HUNDREDTHS_OF_MM[unit], HUNDREDTHS_OF_MM[wanted])
    return None if rest else whole


def may_reach(mark: int, unit: Unit, bar: Bar) -> bool:
    """Whether the jump behind a rounded mark may have been as long as the record, in whichever units they are.

    Units: the mark in `unit`; both are compared as whole hundredths of a millimetre. A mark stands for every length
    from itself up to the next one, as it is rounded down.

    >>> may_reach(499, Unit.CM, Bar(786, Unit.QUARTER_INCH)), may_reach(498, Unit.CM, Bar(786, Unit.QUARTER_INCH))
    (True, False)
    """
    return (mark + 1) * HUNDREDTHS_OF_MM[unit] > bar.mark * HUNDREDTHS_OF_MM[bar.unit]


def claims_among(jumps: Iterable[Jump], bar: Bar, rules: RuleSet, unit: Unit = Unit.CM) -> tuple[Found, ...]:
    """The marks that beat or equal what stood when they were jumped, each a claim or with the reason why it is none.

    `jumps` in order of time, marks in `unit`. Each claim is what the next one has to beat; marks that are no claim
    raise nothing. Equal marks share a record. Rule: common practice; a legal wind, WA CR 31 (number from memory).

    >>> from scoring.rulesets import rule_set
    >>> legal, windy = WindStatus.LEGAL, WindStatus.WINDY
    >>> jumps = [Jump(Turn("31", 1), 558, legal), Jump(Turn("4", 1), 540, legal), Jump(Turn("31", 2), 561, windy)]
    >>> found = claims_among(jumps, Bar(540), rule_set("international"))
    >>> [(one.jump.mark, one.equals, one.why_not and one.why_not.value) for one in found]
    [(558, False, None), (561, False, 'windy')]
    """
    standing, found = bar, list[Found]()
    for jump in jumps:
        mark = exactly_in(jump.mark, unit, bar.unit)
        long_enough = may_reach(jump.mark, unit, standing) if mark is None else mark >= standing.mark
        if not long_enough:
            continue
        why_not = _why_not(jump, mark, bar, rules)
        found.append(Found(jump, mark, mark == standing.mark, why_not))
        if why_not is None and mark is not None:
            standing = replace(standing, mark=mark)
    return tuple(
        replace(one, beaten=one.is_claim and one.mark is not None and one.mark < standing.mark) for one in found
    )


def _why_not(jump: Jump, mark: int | None, bar: Bar, rules: RuleSet) -> WhyNot | None:
    """The first reason against a claim; what cannot change comes before what may still be cleared up."""
    winds = {WindStatus.OWED: WhyNot.WIND_OWED, WindStatus.NWI: WhyNot.NWI, WindStatus.WINDY: WhyNot.WINDY}
    if rules.nwi_counts_for_records:
        del winds[WindStatus.NWI]
    if rules.take_off_zone:
        return WhyNot.TAKE_OFF_ZONE
    if jump.guest and not (bar.takes_guests or rules.guests_set_records):
        return WhyNot.GUEST
    if mark is None:
        return WhyNot.OTHER_UNIT
    if not jump.settled:
        return WhyNot.NOT_SETTLED
    return winds.get(jump.wind) if bar.needs_wind else None
