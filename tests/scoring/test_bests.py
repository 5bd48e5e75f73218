"""Personal and season's bests: which winds count, and against what."""

import pytest

from scoring.bests import best_sign, counting_winds, longest_in
from scoring.marks import Unit
from scoring.rulesets import rule_set
from scoring.wind import WindStatus
from tests.build import series

RULES = rule_set("international")


@pytest.mark.parametrize(
    ("changes", "counting"),
    [
        ({}, {WindStatus.LEGAL, WindStatus.NWI}),
        ({"nwi_counts_for_bests": False}, {WindStatus.LEGAL}),
        ({"windy_counts_for_bests": True}, {WindStatus.LEGAL, WindStatus.NWI, WindStatus.WINDY}),
    ],
)
def test_which_winds_count(changes, counting):
    assert counting_winds(RULES.with_changes(changes)) == counting


@pytest.mark.parametrize(
    ("jumped", "ever", "season", "sign"),
    [
        ("5.12+1.0 x 4.98+0.3", (505,), (505,), "PB"),
        ("5.12+1.0", (512,), (500,), "SB"),
        ("5.12+1.0", (520,), (500, 505), "SB"),
        ("5.12+1.0", (520,), (512,), ""),
        ("5.12+1.0", (520,), (), ""),
        ("5.12+1.0", (), (), ""),
        ("5.12w 5.04+1.9", (510,), (503,), "SB"),
        ("5.12(NWI)", (510,), (510,), "PB"),
        ("5.12", (510,), (510,), ""),
        ("x -", (510,), (510,), ""),
    ],
)
def test_best_sign(jumped, ever, season, sign):
    assert best_sign(series(jumped), RULES, ever=ever, season=season) == sign


def test_a_windy_mark_counts_where_the_rules_say_so():
    rules = RULES.with_changes({"windy_counts_for_bests": True})
    assert best_sign(series("5.12w"), rules, ever=(510,), season=()) == "PB"


@pytest.mark.parametrize(
    ("mark", "unit", "wanted", "longest"),
    [
        (499, Unit.CM, Unit.CM, 499),
        (499, Unit.CM, Unit.QUARTER_INCH, 787),  # up to 499.99 cm; 16-04.75 is 499.745 cm
        (507, Unit.CM, Unit.QUARTER_INCH, 799),  # 5.08 m would be 16-08.00 exactly
        (786, Unit.QUARTER_INCH, Unit.CM, 499),
        (799, Unit.QUARTER_INCH, Unit.CM, 507),
        (800, Unit.QUARTER_INCH, Unit.CM, 508),
    ],
)
def test_the_longest_that_a_jump_measured_in_the_other_unit_may_have_been(mark, unit, wanted, longest):
    assert longest_in(mark, unit, wanted) == longest
