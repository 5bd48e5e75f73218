"""Ages: which day decides, and what is to be asked or refused about an athlete's age.

Somebody born on 29 February reaches an age on 1 March in a common year.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from scoring.age_schemes import SCHEMES, AgeGroup, AgeRule, AgeScheme, NotAnAge, scheme

__all__ = [
    "SCHEMES",
    "AgeGroup",
    "AgeKind",
    "AgeReason",
    "AgeRule",
    "AgeScheme",
    "NotAnAge",
    "age_on",
    "deciding_date",
    "group_of",
    "scheme",
    "too_old_or_young",
]


def deciding_date(scheme: AgeScheme, meet_date: date) -> date:
    """Say which day decides the ages at a meet: in the United Kingdom the next 31 August from the meet on.

    Rule: see the scheme's source; that autumn and indoor meets use the next 31 August is common practice.

    >>> uk = SCHEMES["uk-before-2026"]
    >>> [str(deciding_date(uk, day)) for day in (date(2026, 8, 31), date(2026, 9, 1), date(2027, 1, 20))]
    ['2026-08-31', '2027-08-31', '2027-08-31']
    """
    if scheme.day is None:
        return meet_date
    this_year = date(meet_date.year, *scheme.day)
    if scheme.next_one and this_year < meet_date:
        return date(meet_date.year + 1, *scheme.day)
    return this_year


def age_on(born: date, on: date) -> int:
    """Count whole years of age. Born on 29 February, the birthday of a common year is 1 March.

    Units: years. Rule: common practice. Raises NotAnAge for somebody not yet born.

    >>> age_on(date(2012, 2, 29), date(2026, 2, 28)), age_on(date(2012, 2, 29), date(2026, 3, 1))
    (13, 14)
    """
    if born > on:
        raise NotAnAge(str(born), expected=f"a birth date not after {on}")
    return on.year - born.year - ((on.month, on.day) < (born.month, born.day))


class AgeKind(StrEnum):
    """What there is to say about an athlete's age.

    >>> AgeKind("too-old").name
    'TOO_OLD'
    """

    TOO_OLD = "too-old"
    YOUNGER_THAN_GROUP = "younger-than-group"
    SCHOOL_YEAR_DISAGREES = "school-year-disagrees"
    NO_BIRTH_DATE = "no-birth-date"
    NO_SCHOOL_YEAR = "no-school-year"
    NOT_YET_BORN = "not-yet-born"


# Competing in an older group is a field of the meet, and a pupil may have been kept down or moved up: ask.
ASKED = frozenset({AgeKind.YOUNGER_THAN_GROUP, AgeKind.SCHOOL_YEAR_DISAGREES})


@dataclass(frozen=True, slots=True)
class AgeReason:
    """One thing to say about an age: `found` against `limit`, decided on the day `on`.

    Units: years of age, or school years if `by_school_year`.

    >>> AgeReason(AgeKind.TOO_OLD, on=date(2026, 8, 31), found=15, limit=15).refuses
    True
    """

    kind: AgeKind
    on: date
    found: int | None = None
    limit: int | None = None
    by_school_year: bool = False

    @property
    def refuses(self) -> bool:
        """Whether the entry cannot stand; otherwise somebody is asked.

        >>> AgeReason(AgeKind.YOUNGER_THAN_GROUP, on=date(2026, 8, 31), found=12, limit=13).refuses
        False
        """
        return self.kind not in ASKED


def too_old_or_young(
    born: date | None,
    group: AgeGroup,
    on: date,
    *,
    meet_date: date | None = None,
    school_year: int | None = None,
) -> list[AgeReason]:
    """Check an athlete's age for a group; an empty list is a clean entry.

    `on` is the deciding date; `meet_date` (default `on`) gives the calendar year of an `upper_day`.
    Turning N on the deciding date is too old for "under N". Where the rule has both ages and school years and
    the athlete's two disagree, that is asked and not refused.
    Rule: see the scheme's source; turning N on the very date is common practice.

    >>> u15, deciding = scheme("uk-before-2026").group("U15"), date(2026, 8, 31)
    >>> [(reason.kind.value, reason.found) for reason in too_old_or_young(date(2011, 8, 31), u15, deciding)]
    [('too-old', 15)]
    >>> too_old_or_young(date(2011, 9, 1), u15, deciding)
    []
    """
    rule = group.rule
    by_year = _school_year_reasons(rule, on, school_year)
    if not rule.by_birth_date:
        return by_year
    by_age = _age_reasons(rule, born, on, meet_date or on)
    both_known = rule.school_years is not None and school_year is not None and born is not None and born <= on
    if not both_known or bool(by_year) == bool(by_age):
        return by_age
    return [replace(reason, kind=AgeKind.SCHOOL_YEAR_DISAGREES) for reason in by_year or by_age]


def _age_reasons(rule: AgeRule, born: date | None, on: date, meet_date: date) -> list[AgeReason]:
    if born is None:
        return [AgeReason(AgeKind.NO_BIRTH_DATE, on)]
    if born > on:
        return [AgeReason(AgeKind.NOT_YET_BORN, on)]
    upper_on = max(born, date(meet_date.year, *rule.upper_day)) if rule.upper_day else on
    if rule.under is not None and age_on(born, upper_on) >= rule.under:
        return [AgeReason(AgeKind.TOO_OLD, upper_on, age_on(born, upper_on), rule.under)]
    if rule.at_least is not None and age_on(born, on) < rule.at_least:
        return [AgeReason(AgeKind.YOUNGER_THAN_GROUP, on, age_on(born, on), rule.at_least)]
    return []


def _school_year_reasons(rule: AgeRule, on: date, school_year: int | None) -> list[AgeReason]:
    if rule.school_years is None:
        return []
    if school_year is None:
        return [AgeReason(AgeKind.NO_SCHOOL_YEAR, on, by_school_year=True)]
    first, last = rule.school_years
    if last is not None and school_year > last:
        return [AgeReason(AgeKind.TOO_OLD, on, school_year, last, by_school_year=True)]
    if school_year < first:
        return [AgeReason(AgeKind.YOUNGER_THAN_GROUP, on, school_year, first, by_school_year=True)]
    return []


def group_of(
    scheme: AgeScheme,
    born: date | None,
    on: date,
    *,
    meet_date: date | None = None,
    school_year: int | None = None,
) -> AgeGroup | None:
    """Find the youngest group an athlete belongs to by the birth date, or by the school year alone if only
    that counts; None when there is none.

    Rule: see the scheme's source.

    >>> group_of(SCHEMES["uk-2026"], date(2013, 9, 1), date(2026, 8, 31)).key
    'U14'
    """
    for group in scheme.groups:
        year = None if group.rule.by_birth_date else school_year
        if not too_old_or_young(born, group, on, meet_date=meet_date, school_year=year):
            return group
    return None
