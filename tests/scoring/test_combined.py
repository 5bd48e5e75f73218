from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.combined import CombinedTable, PointsFormula, long_jump_points
from scoring.errors import NotAMark

TABLES = st.sampled_from(CombinedTable)


@pytest.mark.parametrize(
    ("cm", "table", "points"),
    [
        (0, CombinedTable.MEN, 0),
        (220, CombinedTable.MEN, 0),
        (224, CombinedTable.MEN, 0),
        (225, CombinedTable.MEN, 1),
        (776, CombinedTable.MEN, 1000),
        (210, CombinedTable.WOMEN, 0),
        (213, CombinedTable.WOMEN, 0),
        (214, CombinedTable.WOMEN, 1),
        (648, CombinedTable.WOMEN, 1001),
    ],
)
def test_points(cm, table, points):
    assert long_jump_points(cm, table) == points


def test_no_points_for_what_is_no_distance():
    with pytest.raises(NotAMark) as refusal:
        long_jump_points(-1, CombinedTable.MEN)
    assert refusal.value.value == -1


def test_a_table_that_there_is_not():
    with pytest.raises(ValueError, match="'children' is not a valid CombinedTable"):
        long_jump_points(500, "children")


@pytest.mark.parametrize(("over_cm", "points"), [(100, 1000), (99, 985), (101, 1015), (10_000, 1_000_000), (0, 0)])
def test_a_whole_result_is_not_lost_to_rounding(over_cm, points):
    """100 to the power 3/2 is exactly 1000, where a float might stop at 999."""
    assert PointsFormula(Fraction(1), 0, Fraction(3, 2)).points(over_cm) == points


@given(st.integers(0, 999), TABLES)
def test_more_centimetres_are_never_fewer_points(cm, table):
    assert long_jump_points(cm, table) <= long_jump_points(cm + 1, table)


@given(st.integers(221, 999), TABLES)
def test_agrees_with_fifty_digits(cm, table):
    """Decimal's power at 28 digits, worked out apart from the engine's whole numbers."""
    factor, zero_cm, power = {
        CombinedTable.MEN: ("0.14354", 220, "1.40"),
        CombinedTable.WOMEN: ("0.188807", 210, "1.41"),
    }[table]
    exact = Decimal(factor) * Decimal(cm - zero_cm) ** Decimal(power)
    assert long_jump_points(cm, table) == int(exact.to_integral_value(ROUND_FLOOR))
