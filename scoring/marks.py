"""Marks: a distance is an integer in the meet's unit, never a float.

Ranking is done in that unit. The other unit is for display only, rounded down, because two quarter-inch
marks may fall on one centimetre.
"""

from __future__ import annotations

import re
from decimal import Decimal
from enum import StrEnum

from scoring.errors import NotAMark

# Anything of a hundred metres or more is no jump in any unit; a rule set has its own, closer limits.
LIMIT_CM = 10_000
QUARTERS_IN_A_FOOT = 48
# One inch is 25.4 mm by definition, so a quarter inch is 6.35 mm.
HUNDREDTHS_OF_MM_IN_A_QUARTER = 635


class Unit(StrEnum):
    """The unit a meet measures and ranks in: whole centimetres or whole quarter inches.

    >>> Unit("cm"), Unit.QUARTER_INCH.value
    (<Unit.CM: 'cm'>, 'quarter-inch')
    """

    CM = "cm"
    QUARTER_INCH = "quarter-inch"


HUNDREDTHS_OF_MM_IN_A_UNIT = {Unit.CM: 1000, Unit.QUARTER_INCH: HUNDREDTHS_OF_MM_IN_A_QUARTER}


METRES = re.compile(r"([0-9]{1,2})(?: ?[.,] ?([0-9]{2})(?: ?[mM])?| ?[mM] ?([0-9]{2})(?: ?cm)?)")
CENTIMETRES = re.compile(r"([0-9]{3,4})(?: ?cm)?|([0-9]{1,2}) ?cm")
OTHER_DECIMALS = re.compile(r"[0-9]{1,2} ?[.,mM] ?[0-9]*(?: ?[mM])?")
FEET_AND_INCHES = re.compile(
    r"""(?P<feet>[0-9]{1,3})\ ?(?:-|'|ft\.?)\ ?
        (?P<inches>[0-9]{1,2})
        (?:\.(?P<decimals>[0-9]+) | [\ ]?(?P<fraction>[0-9]+/[0-9]+|[¼½¾]))?
        \ ?(?:"|''|in\.?)?""",
    re.VERBOSE,
)
DECIMALS = {None: 0, "0": 0, "00": 0, "25": 1, "5": 2, "50": 2, "75": 3}
FRACTIONS = {None: 0, "1/4": 1, "¼": 1, "1/2": 2, "2/4": 2, "½": 2, "3/4": 3, "¾": 3}
PRIMES = str.maketrans({"′": "'", "’": "'", "″": '"', "”": '"', "–": "-", "\N{NO-BREAK SPACE}": " "})

METRES_EXPECTED = "metres with two decimals, for example 5.43"
TWO_DECIMALS_EXPECTED = "two decimals, for example 5.40"
FEET_EXPECTED = "feet and inches to the quarter inch, for example 16-04.50"
ABOVE_ZERO_EXPECTED = "a distance above zero and under 100 metres"


def parse_mark(text: str, unit: Unit = Unit.CM) -> int:
    """Read a distance as people type it.

    Units: text in, the mark in `unit` out. In a metric meet three or four digits alone are centimetres.
    Rounding is the measurer's job, so `5.4` and `5.439` are asked for two decimals.
    Rule: WA TR 29 (to the centimetre below; number from memory); US schools: the quarter inch below.
    Raises NotAMark.

    >>> [parse_mark(text) for text in ("5.43", "5,43", "543", "5m43", "543cm", "8.85 m")]
    [543, 543, 543, 543, 543, 885]
    >>> show_mark(parse_mark("16' 4 1/2\\"", Unit.QUARTER_INCH), Unit.QUARTER_INCH)
    '16-04.50'
    >>> parse_mark("5.4")
    Traceback (most recent call last):
    scoring.errors.NotAMark: '5.4' is no distance; expected two decimals, for example 5.40
    """
    tidy = text.translate(PRIMES).strip(" ")
    mark = _quarters(text, tidy) if unit is Unit.QUARTER_INCH else _centimetres(text, tidy)
    if mark == 0:
        raise NotAMark(text, expected=ABOVE_ZERO_EXPECTED)
    return mark


def _centimetres(text: str, tidy: str) -> int:
    if metres := METRES.fullmatch(tidy):
        return int(metres[1]) * 100 + int(metres[2] or metres[3])
    if centimetres := CENTIMETRES.fullmatch(tidy):
        return int(centimetres[1] or centimetres[2])
    if OTHER_DECIMALS.fullmatch(tidy):
        raise NotAMark(text, expected=TWO_DECIMALS_EXPECTED)
    raise NotAMark(text, expected=METRES_EXPECTED)


def _quarters(text: str, tidy: str) -> int:
    parts = FEET_AND_INCHES.fullmatch(tidy)
    if parts is None or int(parts["inches"]) > 11:
        raise NotAMark(text, expected=FEET_EXPECTED)
    if parts["decimals"] not in DECIMALS or parts["fraction"] not in FRACTIONS:
        raise NotAMark(text, expected="inches to the quarter: .00, .25, .50 or .75")
    quarters = DECIMALS[parts["decimals"]] + FRACTIONS[parts["fraction"]]
    mark = int(parts["feet"]) * QUARTERS_IN_A_FOOT + int(parts["inches"]) * 4 + quarters
    if mark_in_cm(mark, Unit.QUARTER_INCH) >= LIMIT_CM:
        raise NotAMark(text, expected=ABOVE_ZERO_EXPECTED)
    return mark


def mark_from_metres(value: int | float | Decimal) -> int:
    """Take a numeric workbook cell, which is metres to two decimals: 4.2 is 4.20.

    Units: metres in, centimetres out. A float is read by its shortest decimal writing, so nothing is rounded.
    Rule: common practice. Raises NotAMark for more than two decimals, and outside 0 to 100 m.

    >>> mark_from_metres(4.2), mark_from_metres(5), mark_from_metres(Decimal("12.40"))
    (420, 500, 1240)
    """
    metres = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    if not metres.is_finite() or not 0 < metres < LIMIT_CM // 100:
        raise NotAMark(value, expected=METRES_EXPECTED)
    hundredths = metres.quantize(Decimal("0.01"))
    if hundredths != metres:
        raise NotAMark(value, expected=TWO_DECIMALS_EXPECTED)
    return int(hundredths * 100)


def mark_from_mm(mm: int, unit: Unit = Unit.CM) -> int:
    """Round the reading of a measuring device down to the meet's unit.

    Units: millimetres in, the mark in `unit` out.
    Rule: WA TR 29 (the centimetre below the distance measured; number from memory). Raises NotAMark.

    >>> mark_from_mm(5439), mark_from_mm(4999, Unit.QUARTER_INCH)
    (543, 787)
    """
    if not 0 < mm < LIMIT_CM * 10:
        raise NotAMark(mm, expected=ABOVE_ZERO_EXPECTED)
    mark = mm * 100 // HUNDREDTHS_OF_MM_IN_A_QUARTER if unit is Unit.QUARTER_INCH else mm // 10
    if mark == 0:
        raise NotAMark(mm, expected=ABOVE_ZERO_EXPECTED)
    return mark


def show_mark(mark: int, unit: Unit = Unit.CM) -> str:
    """Write a mark as result sheets do.

    Units: the mark in `unit`. Rule: common practice. Raises NotAMark below zero.

    >>> show_mark(543), show_mark(98), show_mark(786, Unit.QUARTER_INCH)
    ('5.43', '0.98', '16-04.50')
    """
    if mark < 0:
        raise NotAMark(mark, expected="a distance, not below zero")
    if unit is Unit.QUARTER_INCH:
        feet, quarters = divmod(mark, QUARTERS_IN_A_FOOT)
        return f"{feet}-{quarters // 4:02d}.{quarters % 4 * 25:02d}"
    return f"{mark // 100}.{mark % 100:02d}"


def mark_in_cm(mark: int, unit: Unit) -> int:
    """Give a mark in centimetres for display, rounded down. Never rank by it.

    Units: the mark in `unit` in, centimetres out. Rule: 1 inch is 25.4 mm; rounding down as for measuring.

    >>> [mark_in_cm(mark, Unit.QUARTER_INCH) for mark in (786, 787)]  # 16-04.50 and 16-04.75
    [499, 499]
    """
    return mark * HUNDREDTHS_OF_MM_IN_A_QUARTER // 1000 if unit is Unit.QUARTER_INCH else mark


def mark_in_quarter_inches(cm: int) -> int:
    """Give a metric mark in quarter inches for display, rounded down. Never rank by it.

    Units: centimetres in, quarter inches out. Rule: 1 inch is 25.4 mm; a rule book of US schools.

    >>> show_mark(mark_in_quarter_inches(499), Unit.QUARTER_INCH)
    '16-04.25'
    """
    return cm * 1000 // HUNDREDTHS_OF_MM_IN_A_QUARTER
