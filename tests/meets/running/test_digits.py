"""Digits of a keypad, read for both ways of recording."""

import pytest

from meets.running.digits import mark_from_digits, trial_from_keys, wind_from_digits
from scoring.marks import Unit


@pytest.mark.parametrize(
    ("typed", "unit", "means"),
    [
        ("543", Unit.CM, "5.43"),
        (" 543 ", Unit.CM, "5.43"),
        ("1203", Unit.CM, "12.03"),
        ("5.43", Unit.CM, "5.43"),
        ("54", Unit.CM, "54"),
        ("12345", Unit.CM, "12345"),
        ("160450", Unit.QUARTER_INCH, "16-04.50"),
        ("91175", Unit.QUARTER_INCH, "9-11.75"),
        ("543", Unit.QUARTER_INCH, "543"),
        ("16-04.50", Unit.QUARTER_INCH, "16-04.50"),
    ],
)
def test_digits_of_a_mark(typed, unit, means):
    assert mark_from_digits(typed, unit) == means


@pytest.mark.parametrize(
    ("typed", "means"),
    [
        ("12", "+1.2"),
        ("+12", "+1.2"),
        ("-3", "-0.3"),
        ("−3", "-0.3"),
        ("3", "+0.3"),
        ("0", "0.0"),
        ("-0", "0.0"),
        ("00", "0.0"),
        ("120", "+12.0"),
        ("+1.2", "+1.2"),
        ("1,2", "1,2"),
        ("n", "NWI"),
        ("NWI", "NWI"),
        ("", ""),
        ("w", "w"),
    ],
)
def test_digits_of_a_wind_are_tenths(typed, means):
    assert wind_from_digits(typed) == means


@pytest.mark.parametrize(
    ("typed", "means"),
    [
        ("543", "5.43"),
        ("x", "x"),
        ("X", "x"),
        ("/", "x"),
        ("*", "x"),
        ("x543", "x/5.43"),
        ("/543", "x/5.43"),
        ("x(5.43)", "x/5.43"),
        ("-", "-"),
        ("–", "-"),
        ("r", "r"),
        ("o", "o"),
        ("d", "dns"),
        ("DNS", "dns"),
        ("", ""),
        ("xx", "xx"),
    ],
)
def test_a_box_of_a_field_sheet(typed, means):
    assert trial_from_keys(typed, Unit.CM) == means
