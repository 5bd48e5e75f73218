"""Marks and winds as a keypad gives them: digits alone, the point left out.

Both ways of recording read them alike; anything but digits is left to the reader of marks and winds.
"""

import re

from scoring.marks import Unit

# The last two digits are decimals: of a metre, or of an inch behind two digits of inches.
METRIC = re.compile(r"([0-9]{1,2})([0-9]{2})")
FEET = re.compile(r"([0-9]{1,2})([0-9]{2})([0-9]{2})")
WIND = re.compile(r"([+-]?)([0-9]{0,2})([0-9])")
MINUS = str.maketrans({"−": "-", "–": "-"})
NO_READING = frozenset({"n", "nwi"})
PROTEST = re.compile(r"[x/][ /(]?([0-9].*?)\)?")
SIGNS = {"/": "x", "*": "x", "–": "-", "−": "-", "d": "dns"}
NOT_STARTED = "dns"


def mark_from_digits(text: str, unit: Unit) -> str:
    """`543` is 5.43, in feet and inches `160450` is 16-04.50.

    >>> [mark_from_digits(text, Unit.CM) for text in ("543", "1203", "5.4")]
    ['5.43', '12.03', '5.4']
    >>> mark_from_digits("160450", Unit.QUARTER_INCH)
    '16-04.50'
    """
    digits = (FEET if unit is Unit.QUARTER_INCH else METRIC).fullmatch(text.strip())
    if digits is None:
        return text
    return f"{digits[1]}-{digits[2]}.{digits[3]}" if unit is Unit.QUARTER_INCH else f"{digits[1]}.{digits[2]}"


def wind_from_digits(text: str) -> str:
    """Digits alone are tenths: `12` is +1.2, `-3` is -0.3, `0` is 0.0; `n` is NWI.

    >>> [wind_from_digits(text) for text in ("12", "-3", "0", "+1.4", "n", "")]
    ['+1.2', '-0.3', '0.0', '+1.4', 'NWI', '']
    """
    tidy = text.translate(MINUS).strip().lower()
    if tidy in NO_READING:
        return "NWI"
    digits = WIND.fullmatch(tidy)
    if digits is None:
        return text
    sign, whole, tenth = digits.groups()
    if not int(whole or 0) and tenth == "0":
        return "0.0"
    return f"{sign or '+'}{int(whole or 0)}.{tenth}"


def trial_from_keys(text: str, unit: Unit) -> str:
    """A cell of a field sheet as typed: `/` is a failure, `x543` one measured under protest, `d` did not start.

    >>> [trial_from_keys(text, Unit.CM) for text in ("543", "/", "x543", "x(5.43)", "-", "D")]
    ['5.43', 'x', 'x/5.43', 'x/5.43', '-', 'dns']
    """
    tidy = text.strip().lower()
    if protest := PROTEST.fullmatch(tidy):
        return f"x/{mark_from_digits(protest[1], unit)}"
    return SIGNS.get(tidy) or mark_from_digits(tidy, unit)
