"""Whether a mark is an athlete's best of all, or of the season: what counts for it, and what it is compared with."""

from __future__ import annotations

from collections.abc import Sequence

from scoring.marks import HUNDREDTHS_OF_MM_IN_A_UNIT, Unit
from scoring.rulesets import RuleSet
from scoring.trials import Series
from scoring.wind import WindStatus


def counting_winds(rules: RuleSet) -> frozenset[WindStatus]:
    """The winds with which a mark counts for personal and season bests; an owed wind never does.

    Rule: common practice, two fields of the rule set.

    >>> from scoring.rulesets import rule_set
    >>> sorted(status.value for status in counting_winds(rule_set("international")))
    ['legal', 'nwi']
    """
    counting = {WindStatus.LEGAL}
    if rules.nwi_counts_for_bests:
        counting.add(WindStatus.NWI)
    if rules.windy_counts_for_bests:
        counting.add(WindStatus.WINDY)
    return frozenset(counting)


def best_sign(series: Series, rules: RuleSet, *, ever: Sequence[int], season: Sequence[int]) -> str:
    """`PB` for more than every mark known from before, `SB` for more than those of the season, else ''.

    Units: marks in the meet's unit. `ever` are all marks known from before the meet that count, `season` those of
    them from the same season. Without any there is nothing to compare with, and no sign; nor is there for marks from
    a take-off zone, which are a kind of their own. Rule: common practice.

    >>> from scoring.rulesets import rule_set
    >>> from scoring.trials import Result, Trial
    >>> from scoring.wind import Wind
    >>> jumped = Series((Trial(Result.MARK, 512, Wind(8)), Trial(Result.MARK, 530, Wind(21))))
    >>> rules = rule_set("international")
    >>> best_sign(jumped, rules, ever=[505], season=[505]), best_sign(jumped, rules, ever=[520, 500], season=[500])
    ('PB', 'SB')
    """
    best = series.best_with(counting_winds(rules))
    if best is None or not ever or rules.take_off_zone:
        return ""
    if best > max(ever):
        return "PB"
    return "SB" if season and best > max(season) else ""


def longest_in(mark: int, unit: Unit, wanted: Unit) -> int:
    """The longest mark in another unit that the jump behind a mark may have been: what is longer is so for certain.

    Units: the mark in `unit` in, in `wanted` out. Rule: marks are rounded down, and 1 inch is 25.4 mm.

    >>> longest_in(499, Unit.CM, Unit.QUARTER_INCH), longest_in(786, Unit.QUARTER_INCH, Unit.CM)
    (787, 499)
    """
    if unit is wanted:
        return mark
    return ((mark + 1) * HUNDREDTHS_OF_MM_IN_A_UNIT[unit] - 1) // HUNDREDTHS_OF_MM_IN_A_UNIT[wanted]
