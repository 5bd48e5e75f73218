"""Age schemes as data: the groups, the day that decides, and where each scheme comes from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scoring.errors import RuleError


class NotAnAge(RuleError):
    """A value that is no age, age group or age scheme.

    >>> str(NotAnAge("U11", expected="U13 or U15"))
    "'U11' is no age or age group; expected U13 or U15"
    """

    says = "is no age or age group"


@dataclass(frozen=True, slots=True)
class AgeRule:
    """Who belongs to a group. A limit that is None is not asked.

    `under` and `at_least` are whole years on the deciding day, `at_least` being the lower edge of the group.
    `upper_day` (month, day) moves `under` to that day of the meet's calendar year.
    `school_years` are the first and last one, the last None for "and over".

    >>> AgeRule(under=15, at_least=13).under
    15
    """

    under: int | None = None
    at_least: int | None = None
    upper_day: tuple[int, int] | None = None
    school_years: tuple[int, int | None] | None = None

    @property
    def by_birth_date(self) -> bool:
        """Whether the birth date says anything here.

        >>> AgeRule(under=15).by_birth_date, AgeRule(school_years=(9, 12)).by_birth_date
        (True, False)
        """
        return self.under is not None or self.at_least is not None


@dataclass(frozen=True, slots=True)
class AgeGroup:
    """One group of a scheme: its short key, its label on sheets, its rule.

    >>> scheme("uk-before-2026").group("U15").label
    'Under 15'
    """

    key: str
    label: str
    rule: AgeRule


@dataclass(frozen=True, slots=True)
class AgeScheme:
    """A list of groups, youngest first, with the day (month, day) that decides and where the rule is from.

    `next_one` says which: the next such day from the meet on, or the one in the meet's calendar year.
    `day` is None where only the school year counts.

    >>> [group.key for group in scheme("world").groups]
    ['U18', 'U20']
    """

    key: str
    name: str
    source: str
    groups: tuple[AgeGroup, ...]
    day: tuple[int, int] | None
    next_one: bool = False

    def group(self, key: str) -> AgeGroup:
        """Find a group by its key, in capitals or not. Raises NotAnAge, listing the groups there are.

        >>> scheme("uk-2026").group("u14").rule.school_years
        (7, 8)
        """
        for group in self.groups:
            if group.key.lower() == key.lower():
                return group
        raise NotAnAge(key, expected=f"one of {', '.join(group.key for group in self.groups)}")


def _unders(*edges: tuple[int, int]) -> tuple[AgeGroup, ...]:
    """Groups "under N" from pairs (youngest age, N)."""
    return tuple(AgeGroup(f"U{under}", f"Under {under}", AgeRule(under, low)) for low, under in edges)


def _uk_2026() -> Iterable[AgeGroup]:
    # A school year's pupils are all of one age on the 31 August that ends it: 12 in Year 7.
    for under in (10, 12, 14, 16, 18):
        years = (under - 7, under - 6)
        yield AgeGroup(f"U{under}", f"Under {under}", AgeRule(under, under - 2, school_years=years))
    yield AgeGroup("U20", "Under 20", AgeRule(20, 18, upper_day=(12, 31), school_years=(13, None)))


def _us_clubs() -> Iterable[AgeGroup]:
    yield AgeGroup("8U", "8 and under", AgeRule(under=9))
    for low in (9, 11, 13, 15, 17):
        yield AgeGroup(f"{low}-{low + 1}", f"{low} to {low + 1}", AgeRule(low + 2, low))


def _us_grades() -> Iterable[AgeGroup]:
    for grade in (6, 7, 8):
        yield AgeGroup(f"G{grade}", f"Grade {grade}", AgeRule(school_years=(grade, grade)))
    yield AgeGroup("HS", "High school, grades 9 to 12", AgeRule(school_years=(9, 12)))


SCHEMES: dict[str, AgeScheme] = {
    scheme.key: scheme
    for scheme in (
        AgeScheme(
            "uk-before-2026",
            "United Kingdom, before April 2026",
            "UK age groups on 31 August (England Athletics, Age Group changes)",
            _unders((11, 13), (13, 15), (15, 17), (17, 20)),
            day=(8, 31),
            next_one=True,
        ),
        AgeScheme(
            "uk-2026",
            "United Kingdom, from April 2026",
            "UK age groups by school year (England Athletics, Age Group changes)",
            tuple(_uk_2026()),
            day=(8, 31),
            next_one=True,
        ),
        AgeScheme(
            "world",
            "31 December of the competition year",
            "World Athletics age groups (from memory)",
            _unders((16, 18), (18, 20)),
            day=(12, 31),
        ),
        AgeScheme(
            "new-zealand",
            "New Zealand schools",
            "age on 1 January (schools' handbook); the groups from memory",
            _unders((12, 14), (14, 16), (16, 19)),
            day=(1, 1),
        ),
        AgeScheme(
            "western-australia",
            "Western Australia schools",
            "age on 30 June (schools' handbook); the groups from memory",
            _unders((11, 13), (13, 14), (14, 15), (15, 16), (16, 17), (17, 20)),
            day=(6, 30),
        ),
        AgeScheme(
            "victoria",
            "Victorian schools",
            "age as at 31 December (schools' handbook); groups other than U15 from memory",
            _unders((11, 13), (13, 15), (15, 17), (17, 20)),
            day=(12, 31),
        ),
        AgeScheme(
            "us-clubs",
            "US clubs, year of birth",
            "year of birth (clubs' handbook), which is the age on 31 December; the groups from memory",
            tuple(_us_clubs()),
            day=(12, 31),
        ),
        AgeScheme(
            "us-grades",
            "US schools, grades",
            "grade (schools' handbook); the groups are common practice",
            tuple(_us_grades()),
            day=None,
        ),
    )
}


def scheme(key: str) -> AgeScheme:
    """Find a scheme by its key. Raises NotAnAge, listing the schemes there are.

    >>> scheme("uk-2026").name
    'United Kingdom, from April 2026'
    """
    if key not in SCHEMES:
        raise NotAnAge(key, expected=f"one of {', '.join(SCHEMES)}")
    return SCHEMES[key]
