"""Wind: tenths of a metre a second along the runway, or declared missing, or still owed.

Three things that never turn into one another: a reading, `NWI` ("no wind information", declared by an
official) and Python's `None` (owed: nobody has said anything yet).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from scoring.errors import NotAWind

LIMIT_HUNDREDTHS = 2000
READING = re.compile(r"([+-]?) ?([0-9]{1,2})[.,]([0-9]{1,2})(?: ?m/s)?")
EXPECTED = "one decimal with its sign, for example +1.4, or NWI"
LIMITS_EXPECTED = "between -20.0 and +20.0 m/s"
MINUS = str.maketrans({"−": "-", "–": "-", "\N{NO-BREAK SPACE}": " "})


@dataclass(frozen=True, slots=True)
class Wind:
    """What is known of the wind of one turn: a reading, or `NWI` when `tenths` is None.

    Units: tenths of m/s, a tail wind positive. Rule: WA TR 29 (from memory). Raises NotAWind beyond 20 m/s.

    >>> Wind(14) == parse_wind("+1.4"), Wind(None) == NWI
    (True, True)
    """

    tenths: int | None

    def __post_init__(self) -> None:
        if self.tenths is not None and abs(self.tenths) * 10 > LIMIT_HUNDREDTHS:
            raise NotAWind(self.tenths, expected=LIMITS_EXPECTED)


NWI = Wind(None)


class WindStatus(StrEnum):
    """What a wind means for a mark.

    >>> [status.value for status in WindStatus]
    ['legal', 'windy', 'nwi', 'owed']
    """

    LEGAL = "legal"
    WINDY = "windy"
    NWI = "nwi"
    OWED = "owed"


def wind_status(wind: Wind | None, limit_tenths: int = 20) -> WindStatus:
    """Say whether a wind is legal, over the limit, declared missing, or owed.

    Units: tenths of m/s. Rule: at most +2.0 m/s after rounding, WA CR 31 (number of the rule from memory).

    >>> [wind_status(wind).value for wind in (Wind(20), Wind(21), NWI, None)]
    ['legal', 'windy', 'nwi', 'owed']
    """
    if wind is None:
        return WindStatus.OWED
    if wind.tenths is None:
        return WindStatus.NWI
    return WindStatus.WINDY if wind.tenths > limit_tenths else WindStatus.LEGAL


def gauge_to_tenths(hundredths: int) -> int:
    """Round a gauge reading to tenths of m/s, never understating a tail wind.

    Units: hundredths of m/s in, tenths out. Rule: WA TR 17 (from memory). Raises NotAWind beyond 20 m/s.

    >>> gauge_to_tenths(203), gauge_to_tenths(200), gauge_to_tenths(-203)
    (21, 20, -20)
    """
    if abs(hundredths) > LIMIT_HUNDREDTHS:
        raise NotAWind(hundredths, expected="hundredths between -2000 and +2000")
    return -(-hundredths // 10)


def parse_wind(text: str) -> Wind:
    """Read a wind as people type it. One decimal is taken as it is, two go through the gauge rule.

    Units: text in m/s. A reading without decimals is refused: 2 may mean 0.2 or 2.0.
    Rule: WA TR 17 (from memory). Raises NotAWind.

    >>> [parse_wind(text).tenths for text in ("+1.4", "-0.3", "1.4", "0.0", "+2.03", "−0,7")]
    [14, -3, 14, 0, 21, -7]
    >>> parse_wind("nwi") is NWI
    True
    """
    tidy = text.translate(MINUS).strip(" ")
    if tidy.lower() == "nwi":
        return NWI
    reading = READING.fullmatch(tidy)
    if reading is None:
        raise NotAWind(text, expected=EXPECTED)
    sign, whole, decimals = reading.groups()
    hundredths = int(whole) * 100 + int(decimals.ljust(2, "0"))
    if hundredths > LIMIT_HUNDREDTHS:
        raise NotAWind(text, expected=LIMITS_EXPECTED)
    return Wind(gauge_to_tenths(-hundredths if sign == "-" else hundredths))


def show_wind(wind: Wind | None) -> str:
    """Write a wind as result sheets do: with its sign, `NWI` when declared, nothing while owed.

    Units: m/s with one decimal. Rule: common practice.

    >>> [show_wind(wind) for wind in (Wind(14), Wind(-3), Wind(0), NWI, None)]
    ['+1.4', '-0.3', '0.0', 'NWI', '']
    """
    if wind is None:
        return ""
    if wind.tenths is None:
        return "NWI"
    sign = "-" if wind.tenths < 0 else "+" if wind.tenths > 0 else ""
    return f"{sign}{abs(wind.tenths) // 10}.{abs(wind.tenths) % 10}"
