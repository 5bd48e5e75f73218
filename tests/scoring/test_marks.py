import math
from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.errors import NotAMark
from scoring.marks import (
    Unit,
    mark_from_metres,
    mark_from_mm,
    mark_in_cm,
    mark_in_quarter_inches,
    parse_mark,
    show_mark,
)

METRIC = [
    ("5.43", 543),
    ("5,43", 543),
    ("543", 543),
    ("5m43", 543),
    ("5 m 43", 543),
    ("5m43cm", 543),
    ("543cm", 543),
    ("543 cm", 543),
    ("98cm", 98),
    ("8.85 m", 885),
    ("8.85m", 885),
    ("2M72", 272),
    ("12.40", 1240),
    ("1240", 1240),
    ("0.01", 1),
    ("0.98", 98),
    ("098", 98),
    (" 5.43 ", 543),
    ("5.43\N{NO-BREAK SPACE}m", 543),
    ("54.30", 5430),
]
QUARTERS = [
    ("16-04.50", 786),
    ("16' 4 1/2\"", 786),
    ("16′ 4½″", 786),
    ("16’ 4.5”", 786),
    ("16-4", 784),
    ("16-04", 784),
    ("16-04.00", 784),
    ("16-04.0", 784),
    ("16-4.25", 785),
    ("16-4 1/4", 785),
    ("16-4¼", 785),
    ("16-04 2/4", 786),
    ("16–04.75", 787),
    ("16-4 3/4", 787),
    ("16-4¾", 787),
    ("16 ft 4.5 in", 786),
    ("16ft. 4in.", 784),
    ("16'4''", 784),
    ("0-00.25", 1),
    ("16-11.75", 815),
    ("328-01.00", 15_748),
]
TWO_DECIMALS = "two decimals, for example 5.40"
METRES = "metres with two decimals, for example 5.43"
ABOVE_ZERO = "a distance above zero and under 100 metres"
FEET = "feet and inches to the quarter inch, for example 16-04.50"
QUARTER = "inches to the quarter: .00, .25, .50 or .75"


@pytest.mark.parametrize(("text", "mark"), METRIC)
def test_metric_forms(text, mark):
    assert parse_mark(text) == mark


@pytest.mark.parametrize(("text", "mark"), QUARTERS)
def test_quarter_inch_forms(text, mark):
    assert parse_mark(text, Unit.QUARTER_INCH) == mark


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("5.4", Unit.CM, TWO_DECIMALS),
        ("5,4", Unit.CM, TWO_DECIMALS),
        ("5.439", Unit.CM, TWO_DECIMALS),
        ("54.3", Unit.CM, TWO_DECIMALS),
        ("5.", Unit.CM, TWO_DECIMALS),
        ("5m", Unit.CM, TWO_DECIMALS),
        ("5m4", Unit.CM, TWO_DECIMALS),
        ("5.4 m", Unit.CM, TWO_DECIMALS),
        ("", Unit.CM, METRES),
        (" ", Unit.CM, METRES),
        ("5", Unit.CM, METRES),
        ("54", Unit.CM, METRES),
        ("54321", Unit.CM, METRES),
        ("-5.43", Unit.CM, METRES),
        ("−5.43", Unit.CM, METRES),
        ("+5.43", Unit.CM, METRES),
        ("5.43 cm", Unit.CM, METRES),
        (".43", Unit.CM, METRES),
        ("5.43\n", Unit.CM, METRES),
        ("5.4\x003", Unit.CM, METRES),
        ("\t543", Unit.CM, METRES),
        ("５.４３", Unit.CM, METRES),
        ("٥٤٣", Unit.CM, METRES),
        ("5²43", Unit.CM, METRES),
        ("5.43 5.44", Unit.CM, METRES),
        ("x", Unit.CM, METRES),
        ("=5.43", Unit.CM, METRES),
        ("16-04.50", Unit.CM, METRES),
        ("0.00", Unit.CM, ABOVE_ZERO),
        ("000", Unit.CM, ABOVE_ZERO),
        ("0-00", Unit.QUARTER_INCH, ABOVE_ZERO),
        ("329-00", Unit.QUARTER_INCH, ABOVE_ZERO),
        ("328-01.25", Unit.QUARTER_INCH, ABOVE_ZERO),
        ("5.43", Unit.QUARTER_INCH, FEET),
        ("543", Unit.QUARTER_INCH, FEET),
        ("16-12", Unit.QUARTER_INCH, FEET),
        ("16'", Unit.QUARTER_INCH, FEET),
        ("-16-04.50", Unit.QUARTER_INCH, FEET),
        ("16-04.50\n", Unit.QUARTER_INCH, FEET),
        ("", Unit.QUARTER_INCH, FEET),
        ("16-04.3", Unit.QUARTER_INCH, QUARTER),
        ("16-04.125", Unit.QUARTER_INCH, QUARTER),
        ("16-4 1/3", Unit.QUARTER_INCH, QUARTER),
    ],
)
def test_refused_with_what_was_expected(text, unit, expected):
    with pytest.raises(NotAMark) as refusal:
        parse_mark(text, unit)
    assert (refusal.value.value, refusal.value.expected) == (text, expected)


@pytest.mark.parametrize(
    ("cell", "mark"),
    [
        (4.2, 420),
        (5, 500),
        (5.43, 543),
        (8.95, 895),
        (0.29, 29),
        (1.1, 110),
        (99.99, 9999),
        (Decimal("5.4"), 540),
        (Decimal("5.430"), 543),
        (Decimal("0.01"), 1),
    ],
)
def test_a_numeric_cell_is_metres_to_two_decimals(cell, mark):
    assert mark_from_metres(cell) == mark


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        (5.439, TWO_DECIMALS),
        (0.1 + 0.2, TWO_DECIMALS),
        (Decimal("5.4300001"), TWO_DECIMALS),
        (Decimal("1E-1000000"), TWO_DECIMALS),
        (0, METRES),
        (-4.2, METRES),
        (543, METRES),
        (100, METRES),
        (math.nan, METRES),
        (math.inf, METRES),
        (Decimal("sNaN"), METRES),
        (Decimal("1E+1000000"), METRES),
    ],
)
def test_a_numeric_cell_that_is_no_distance(cell, expected):
    with pytest.raises(NotAMark) as refusal:
        mark_from_metres(cell)
    assert refusal.value.expected == expected


@pytest.mark.parametrize(
    ("mm", "unit", "mark"),
    [
        (5439, Unit.CM, 543),
        (5430, Unit.CM, 543),
        (5429, Unit.CM, 542),
        (10, Unit.CM, 1),
        (99_999, Unit.CM, 9999),
        (6, Unit.CM, None),
        (0, Unit.CM, None),
        (-5430, Unit.CM, None),
        (100_000, Unit.CM, None),
        (25, Unit.QUARTER_INCH, 3),
        (254, Unit.QUARTER_INCH, 40),
        (4991, Unit.QUARTER_INCH, 785),
        (4992, Unit.QUARTER_INCH, 786),
        (6, Unit.QUARTER_INCH, None),
        (7, Unit.QUARTER_INCH, 1),
    ],
)
def test_a_device_is_rounded_down(mm, unit, mark):
    if mark is not None:
        assert mark_from_mm(mm, unit) == mark
        return
    with pytest.raises(NotAMark) as refusal:
        mark_from_mm(mm, unit)
    assert refusal.value.expected == ABOVE_ZERO


@pytest.mark.parametrize(
    ("mark", "unit", "shown"),
    [
        (543, Unit.CM, "5.43"),
        (1240, Unit.CM, "12.40"),
        (7, Unit.CM, "0.07"),
        (0, Unit.CM, "0.00"),
        (786, Unit.QUARTER_INCH, "16-04.50"),
        (815, Unit.QUARTER_INCH, "16-11.75"),
        (1, Unit.QUARTER_INCH, "0-00.25"),
    ],
)
def test_shown(mark, unit, shown):
    assert show_mark(mark, unit) == shown


def test_nothing_below_zero_is_shown():
    with pytest.raises(NotAMark):
        show_mark(-1)


@pytest.mark.parametrize(("mark", "cm"), [(784, 497), (786, 499), (787, 499), (788, 500), (1, 0)])
def test_quarter_inches_in_centimetres(mark, cm):
    assert mark_in_cm(mark, Unit.QUARTER_INCH) == cm
    assert mark_in_cm(mark, Unit.CM) == mark


@pytest.mark.parametrize(("cm", "mark"), [(499, 785), (500, 787), (127, 200), (126, 198)])
def test_centimetres_in_quarter_inches(cm, mark):
    assert mark_in_quarter_inches(cm) == mark


@given(st.integers(1, 9999), st.sampled_from(Unit))
def test_what_is_shown_is_read_back(mark, unit):
    assert parse_mark(show_mark(mark, unit), unit) == mark


@given(st.integers(1, 9999))
def test_a_cell_and_a_typed_mark_agree(mark):
    assert mark_from_metres(float(show_mark(mark))) == mark == mark_from_metres(mark / 100)


@given(st.integers(10, 99_999), st.sampled_from(Unit))
def test_rounding_down_is_never_a_whole_step_off(mm, unit):
    hundredths_of_mm = 635 if unit is Unit.QUARTER_INCH else 1000
    mark = mark_from_mm(mm, unit)
    assert mark * hundredths_of_mm <= mm * 100 < (mark + 1) * hundredths_of_mm


@given(st.text(alphabet="0159.,-m '\"½/\t٣") | st.text(), st.sampled_from(Unit))
def test_any_text_is_a_mark_or_refused(text, unit):
    with suppress(NotAMark):
        assert 1 <= parse_mark(text, unit) <= 15_748
