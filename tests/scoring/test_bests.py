"""Personal and season's bests: which winds count, and against what."""

import pytest

from scoring.bests import best_sign, counting_winds
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
