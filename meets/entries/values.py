"""One cell of an entry line as a value, or a sentence that says what is wrong with it and what is expected."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from athletes.models import Athlete
from athletes.reading.names import is_a_name, tidy_name, tidy_text
from athletes.reading.table import Value, shown
from scoring.errors import NotAMark, NotAWind
from scoring.marks import Unit, mark_from_metres, mark_in_cm, parse_mark, show_mark
from scoring.wind import Wind, parse_wind, show_wind

LONGEST_NAME, LONGEST_CLASS = 60, 8

MONTHS = {
    name: number
    for number, names in enumerate(
        (
            ("jan", "january"),
            ("feb", "february"),
            ("mar", "march"),
            ("apr", "april"),
            ("may",),
            ("jun", "june"),
            ("jul", "july"),
            ("aug", "august"),
            ("sep", "sept", "september"),
            ("oct", "october"),
            ("nov", "november"),
            ("dec", "december"),
        ),
        1,
    )
    for name in names
}
YEAR_FIRST = re.compile(r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})(?:[T ]00:00(?::00)?)?")
IN_FIGURES = re.compile(r"([0-9]{1,2})[-/. ]([0-9]{1,2})[-/. ]([0-9]{4}|[0-9]{2})(?: 00:00(?::00)?)?")
WITHOUT_SIGNS = re.compile(r"((?:19|20)[0-9]{2})([0-9]{2})([0-9]{2})")
MONTH_NAME_FIRST = re.compile(r"([a-z]+)\.? ([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})")
WITH_MONTH_NAME = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[ -/.]?([a-z]+)\.?,?[ -/.]([0-9]{4}|[0-9]{2})")

GIRL = frozenset(["f", "female", "g", "girl", "girls", "w", "woman", "women"])
BOY = frozenset(["m", "male", "b", "boy", "boys", "man", "men"])
YES = frozenset(["y", "yes", "true", "1", "x", "g", "guest", "✓"])
NO = frozenset(["", "n", "no", "false", "0", "-"])
NO_MARK = frozenset(
    ["", "-", "–", "—", "none", "nil", "n/a", "na", "nm", "nt", "new", "?", "tbc", "unknown", "no best"]
)

METRES = re.compile(r"([0-9]{1,2})(?:[.,]([0-9]{1,2}))? ?m?")
FEET = re.compile(r"([0-9]{1,2}) ?(?:ft\.?|'|feet|foot)?")
HUNDREDTHS_OF_MM_IN_A_FOOT = 30480
FEET_SIGN = re.compile(r"[-'’′]|ft")


class Wrong(ValueError):
    """A cell that cannot be taken; the text is a whole clause for people, without the place."""


class Unclear(Wrong):
    """A cell that cannot be taken, while the line could do without it if the organiser agrees."""


def read_name(value: Value, *, initials: bool = False) -> str:
    text = tidy_name(shown(value), initials=initials)
    if not text:
        raise Wrong(_("the name is missing."))
    if not is_a_name(text):
        raise Wrong(_('"%(text)s" is no name; expected letters.') % {"text": shown(value)})
    if len(text) > LONGEST_NAME:
        raise Wrong(_("the name has more than %(count)s letters; shorten it.") % {"count": LONGEST_NAME})
    return text


def read_date(value: Value, *, month_first: bool = False, this_year: int) -> date:
    """A date as people type it. A year of two figures is the latest such year that is not to come."""
    if isinstance(value, date):
        return value
    text = tidy_text(shown(value)).casefold()
    if parts := YEAR_FIRST.fullmatch(text) or WITHOUT_SIGNS.fullmatch(text):
        year, month, day = int(parts[1]), int(parts[2]), int(parts[3])
    elif not isinstance(value, int | float) and (parts := IN_FIGURES.fullmatch(text)):
        day, month = (int(parts[2]), int(parts[1])) if month_first else (int(parts[1]), int(parts[2]))
        year = _whole_year(parts[3], this_year)
    elif (parts := WITH_MONTH_NAME.fullmatch(text)) and parts[2] in MONTHS:
        day, month, year = int(parts[1]), MONTHS[parts[2]], _whole_year(parts[3], this_year)
    elif (parts := MONTH_NAME_FIRST.fullmatch(text)) and parts[1] in MONTHS:
        day, month, year = int(parts[2]), MONTHS[parts[1]], int(parts[3])
    else:
        raise Wrong(_no_date(value, month_first))
    try:
        return date(year, month, day)
    except ValueError as problem:
        raise Wrong(_no_date(value, month_first)) from problem


def in_other_order(value: Value, *, month_first: bool, this_year: int) -> date | None:
    """What a date in figures says with day and month changed over; None where that is no date or the same one."""
    text = tidy_text(shown(value)).casefold() if isinstance(value, str) else ""
    if not (parts := IN_FIGURES.fullmatch(text)) or int(parts[1]) == int(parts[2]):
        return None
    try:
        return read_date(value, month_first=not month_first, this_year=this_year)
    except Wrong:
        return None


def shows_its_order(value: Value) -> bool:
    """Whether a date was typed in figures with the year last."""
    return isinstance(value, str) and IN_FIGURES.fullmatch(tidy_text(value).casefold()) is not None


def has_short_year(value: Value) -> bool:
    """Whether a date was typed with two figures for the year."""
    text = tidy_text(shown(value)).casefold() if isinstance(value, str) else ""
    return any(
        (parts := pattern.fullmatch(text)) is not None and len(parts[3]) == 2
        for pattern in (IN_FIGURES, WITH_MONTH_NAME)
    )


def _whole_year(text: str, this_year: int) -> int:
    if len(text) == 4:
        return int(text)
    year = this_year - this_year % 100 + int(text)
    return year if year <= this_year else year - 100


def _no_date(value: Value, month_first: bool) -> str:
    expected = _("month/day/year") if month_first else _("day/month/year")
    return _('"%(text)s" is no date; expected %(expected)s.') % {"text": shown(value), "expected": expected}


def read_sex(value: Value) -> str:
    text = tidy_text(shown(value)).casefold()
    if text in GIRL:
        return Athlete.Sex.FEMALE
    if text in BOY:
        return Athlete.Sex.MALE
    if not text:
        raise Wrong(_("girl or boy is not said; expected F or M."))
    raise Wrong(_('"%(text)s" is not understood; expected F or M.') % {"text": shown(value)})


def read_yes(value: Value) -> bool:
    text = tidy_text(shown(value)).casefold()
    if text in YES or text in NO:
        return text in YES
    raise Wrong(_('"%(text)s" is not understood; expected yes or no.') % {"text": shown(value)})


def read_class(value: Value) -> str:
    """An impairment class as it stands in results: whatever is spelt otherwise would be a class of its own."""
    text = "".join(tidy_text(shown(value)).split()).upper()
    if len(text) > LONGEST_CLASS:
        raise Wrong(_("the text has more than %(count)s letters; shorten it.") % {"count": LONGEST_CLASS})
    return text


def read_mark(value: Value, unit: Unit, longest_cm: int) -> int | None:
    """A seed mark in the meet's unit; None where the athlete has none. Raises Unclear with a guess if there is one."""
    text = tidy_text(shown(value))
    if text.casefold() in NO_MARK:
        return None
    if isinstance(value, date):
        raise Unclear(_("the cell is a date (%(text)s), not a distance.") % {"text": text})
    try:
        mark = _mark(value, text, unit)
    except NotAMark as problem:
        raise Unclear(
            _('"%(text)s" is no distance; expected %(expected)s.%(guess)s')
            % {"text": text, "expected": _(problem.expected), "guess": _guess(text, unit, longest_cm)}
        ) from problem
    if mark_in_cm(mark, unit) > longest_cm:
        raise Unclear(
            _('"%(text)s" is farther than anybody has jumped.%(guess)s')
            % {"text": text, "guess": _guess(text, unit, longest_cm)}
        )
    return mark


def _mark(value: Value, text: str, unit: Unit) -> int:
    # A numeric cell of a workbook is metres; one of a hundred and more can only be centimetres without a point.
    if isinstance(value, int | float) and unit is Unit.CM and not (isinstance(value, int) and value >= 100):
        return mark_from_metres(Decimal(repr(value)))
    return parse_mark(text, unit)


def _guess(text: str, unit: Unit, longest_cm: int) -> str:
    """With its decimal sign elsewhere, three or four figures may be a jump: 54.3 is probably 5.43."""
    if unit is Unit.CM and FEET_SIGN.search(text) and (feet := _in_feet(text)):
        return " " + _("In feet and inches that would be %(mark)s m.") % {"mark": show_mark(feet)}
    figures = re.sub(r"[.,]", "", text)
    if unit is not Unit.CM or not re.fullmatch(r"[0-9]{3,4}", figures) or not 100 <= int(figures) <= longest_cm:
        return ""
    return " " + _("Probably %(mark)s.") % {"mark": show_mark(int(figures))}


def _in_feet(text: str) -> int | None:
    try:
        return mark_in_cm(parse_mark(text, Unit.QUARTER_INCH), Unit.QUARTER_INCH)
    except NotAMark:
        return None


def read_wind(value: Value) -> int | None:
    """Tenths of a metre a second; None where nothing is known."""
    text = tidy_text(shown(value)).removesuffix("m/s").strip()
    if text.casefold() in NO_MARK or text.casefold() == "nwi":
        return None
    if isinstance(value, int | float):
        text = f"{value:+.1f}" if round(value, 1) == value else text
    try:
        return parse_wind(text.replace(",", ".")).tenths
    except NotAWind as problem:
        raise Unclear(
            _('"%(text)s" is no wind reading; expected %(expected)s.') % {"text": text, "expected": _(problem.expected)}
        ) from problem


def read_board(value: Value, unit: Unit) -> int | None:
    """The distance of a board from the sand in cm: metres, or feet where the meet measures in feet."""
    text = tidy_text(shown(value)).casefold()
    if text in NO_MARK:
        return None
    if unit is Unit.QUARTER_INCH and (feet := FEET.fullmatch(text)):
        return int(feet[1]) * HUNDREDTHS_OF_MM_IN_A_FOOT // 1000
    if unit is Unit.CM and (metres := METRES.fullmatch(text)):
        return int(metres[1]) * 100 + int((metres[2] or "0").ljust(2, "0"))
    expected = _("feet, for example 32") if unit is Unit.QUARTER_INCH else _("metres from the sand, for example 9")
    raise Unclear(_('"%(text)s" is no board; expected %(expected)s.') % {"text": shown(value), "expected": expected})


def show_board(board_cm: int, unit: Unit) -> str:
    if unit is Unit.QUARTER_INCH:
        return _("%(feet)s ft") % {"feet": round(board_cm * 1000 / HUNDREDTHS_OF_MM_IN_A_FOOT)}
    metres = f"{board_cm // 100}.{board_cm % 100:02d}".rstrip("0").rstrip(".")
    return _("%(metres)s m") % {"metres": metres}


def read_string(value: Value) -> str:
    """A, B, ... in capitals; '' if none is given."""
    text = tidy_text(shown(value)).casefold()
    text = text.removesuffix("string").removesuffix("team").strip(" .")
    if not text or text == "-":
        return ""
    if re.fullmatch(r"[a-z]", text):
        return text.upper()
    raise Wrong(_('"%(text)s" is no string; expected A, B or an empty cell.') % {"text": shown(value)})


def wind_words(wind: Wind | None) -> str:
    """A wind as people read it. Files for machines, and what is typed, have the plain hyphen of `show_wind`."""
    return with_minus(show_wind(wind))


def with_minus(text: str) -> str:
    """A wind or points with a true minus sign: `−0.3`."""
    return text.replace("-", "−")
