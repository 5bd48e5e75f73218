from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from meets.entries import values as read
from scoring.marks import Unit, show_mark
from scoring.wind import NWI, Wind

LONGEST = 1900


@pytest.mark.parametrize(
    ("typed", "born"),
    [
        ("07/12/2014", date(2014, 12, 7)),
        ("7/12/2014", date(2014, 12, 7)),
        ("7.12.2014", date(2014, 12, 7)),
        ("07-12-2014", date(2014, 12, 7)),
        ("2014-12-07", date(2014, 12, 7)),
        ("2014/12/07", date(2014, 12, 7)),
        ("2014-12-07 00:00:00", date(2014, 12, 7)),
        (" 07/12/2014 ", date(2014, 12, 7)),
        ("7 Dec 2014", date(2014, 12, 7)),
        ("7-Dec-14", date(2014, 12, 7)),
        ("7th December 2014", date(2014, 12, 7)),
        ("07/12/14", date(2014, 12, 7)),
        ("07/12/98", date(1998, 12, 7)),
        ("29/02/2012", date(2012, 2, 29)),
        ("20141207", date(2014, 12, 7)),
        (20141207, date(2014, 12, 7)),
        ("Dec 7 2014", date(2014, 12, 7)),
        ("December 7th, 2014", date(2014, 12, 7)),
        (date(2014, 12, 7), date(2014, 12, 7)),
    ],
)
def test_dates_as_people_type_them(typed, born):
    assert read.read_date(typed, this_year=2026) == born


@pytest.mark.parametrize(
    "typed",
    [
        "31/02/2011",
        "29/02/2011",
        "20111312",
        "07122011",
        "Foo 7 2011",
        "12/13/2011",
        "2011",
        "soon",
        "7 Foo 2011",
        41980,
        7.12,
    ],
)
def test_what_is_no_date(typed):
    with pytest.raises(read.Wrong) as caught:
        read.read_date(typed, this_year=2026)
    assert str(caught.value) == f'"{typed}" is no date; expected day/month/year.'


def test_the_month_comes_first_where_it_is_written_first():
    assert read.read_date("12/07/2014", month_first=True, this_year=2026) == date(2014, 12, 7)
    with pytest.raises(read.Wrong) as caught:
        read.read_date("31/12/2014", month_first=True, this_year=2026)
    assert str(caught.value) == '"31/12/2014" is no date; expected month/day/year.'


@given(st.dates(date(1930, 1, 1), date(2026, 12, 31)))
def test_every_date_is_read_back_from_its_writings(day):
    writings = (f"{day:%d/%m/%Y}", f"{day:%Y-%m-%d}", f"{day.day}.{day.month}.{day.year}", f"{day:%d %b %Y}")
    assert {read.read_date(text, this_year=2026) for text in writings} == {day}


@pytest.mark.parametrize(
    ("typed", "mark"),
    [
        ("2,75", 275),
        ("2m72", 272),
        ("912cm", 912),
        ("8.85 m", 885),
        ("543", 543),
        (2.75, 275),
        (4.2, 420),
        (5, 500),
        (543, 543),
        ("", None),
        ("-", None),
        ("n/a", None),
        ("None", None),
    ],
)
def test_marks(typed, mark):
    assert read.read_mark(typed, Unit.CM, LONGEST) == mark


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("54.3", '"54.3" is no distance; expected two decimals, for example 5.40. Probably 5.43.'),
        (54.3, '"54.3" is farther than anybody has jumped. Probably 5.43.'),
        ("5.4", '"5.4" is no distance; expected two decimals, for example 5.40.'),
        ("5.439", '"5.439" is no distance; expected two decimals, for example 5.40.'),
        (5.439, '"5.439" is no distance; expected two decimals, for example 5.40.'),
        ("54.30", '"54.30" is farther than anybody has jumped.'),
        ("far", '"far" is no distance; expected metres with two decimals, for example 5.43.'),
        (date(2016, 4, 5), "the cell is a date (2016-04-05), not a distance."),
        (float("inf"), '"inf" is no distance; expected metres with two decimals, for example 5.43.'),
    ],
)
def test_a_mark_that_cannot_be_is_asked_about_with_a_guess(typed, says):
    with pytest.raises(read.Unclear) as caught:
        read.read_mark(typed, Unit.CM, LONGEST)
    assert str(caught.value) == says


@given(st.integers(1, LONGEST))
def test_every_mark_is_read_back(mark):
    assert read.read_mark(show_mark(mark), Unit.CM, LONGEST) == mark
    assert read.read_mark(mark / 100, Unit.CM, LONGEST) == mark


def test_marks_in_feet_and_inches():
    assert read.read_mark("16-04.50", Unit.QUARTER_INCH, LONGEST) == 786
    with pytest.raises(read.Unclear):
        read.read_mark("63-00.00", Unit.QUARTER_INCH, LONGEST)


@pytest.mark.parametrize(
    ("typed", "sex"), [("f", "F"), ("Girl", "F"), ("FEMALE", "F"), ("g", "F"), ("m", "M"), ("Boys", "M"), ("b ", "M")]
)
def test_sex(typed, sex):
    assert read.read_sex(typed) == sex


@pytest.mark.parametrize("typed", ["", "x", "U15"])
def test_sex_that_is_not_understood(typed):
    with pytest.raises(read.Wrong):
        read.read_sex(typed)


@pytest.mark.parametrize(
    ("typed", "unit", "board_cm"),
    [
        ("7", Unit.CM, 700),
        ("9 m", Unit.CM, 900),
        ("9.5", Unit.CM, 950),
        ("9,75m", Unit.CM, 975),
        (11, Unit.CM, 1100),
        (9.5, Unit.CM, 950),
        ("", Unit.CM, None),
        ("24 ft", Unit.QUARTER_INCH, 731),
        ("32'", Unit.QUARTER_INCH, 975),
        ("32", Unit.QUARTER_INCH, 975),
    ],
)
def test_boards(typed, unit, board_cm):
    assert read.read_board(typed, unit) == board_cm


@pytest.mark.parametrize(("typed", "unit"), [("white", Unit.CM), ("7 ft", Unit.CM), ("7 m", Unit.QUARTER_INCH)])
def test_what_is_no_board(typed, unit):
    with pytest.raises(read.Unclear):
        read.read_board(typed, unit)


@pytest.mark.parametrize(
    ("board_cm", "unit", "shown"),
    [(700, Unit.CM, "7 m"), (950, Unit.CM, "9.5 m"), (975, Unit.CM, "9.75 m"), (732, Unit.QUARTER_INCH, "24 ft")],
)
def test_boards_are_shown_as_people_say_them(board_cm, unit, shown):
    assert read.show_board(board_cm, unit) == shown


@pytest.mark.parametrize(
    ("typed", "string"), [("a", "A"), ("B", "B"), ("A string", "A"), ("c", "C"), ("", ""), ("-", "")]
)
def test_strings(typed, string):
    assert read.read_string(typed) == string


@pytest.mark.parametrize("typed", ["AB", "1", "first"])
def test_what_is_no_string(typed):
    with pytest.raises(read.Wrong):
        read.read_string(typed)


@pytest.mark.parametrize(
    ("typed", "tenths"), [("+1.4", 14), ("-0,3", -3), (1.4, 14), (0, 0), ("NWI", None), ("", None), ("1.4 m/s", 14)]
)
def test_winds(typed, tenths):
    assert read.read_wind(typed) == tenths


@pytest.mark.parametrize("typed", ["2", "strong", "+33.0"])
def test_what_is_no_wind(typed):
    with pytest.raises(read.Unclear):
        read.read_wind(typed)


@pytest.mark.parametrize(
    ("typed", "yes"), [("yes", True), ("Y", True), ("x", True), ("TRUE", True), ("no", False), ("", False)]
)
def test_yes_and_no(typed, yes):
    assert read.read_yes(typed) is yes


@pytest.mark.parametrize(
    ("wind", "words"), [(Wind(14), "+1.4"), (Wind(-3), "−0.3"), (Wind(0), "0.0"), (NWI, "NWI"), (None, "")]
)
def test_a_wind_as_people_read_it(wind, words):
    assert read.wind_words(wind) == words


@pytest.mark.parametrize("typed", ["T20", "t20", " T 20 "])
def test_a_class_is_the_same_however_it_is_spelt(typed):
    assert read.read_class(typed) == "T20"


def test_a_class_is_short():
    with pytest.raises(read.Wrong, match="more than 8 letters"):
        read.read_class("T20 T11 T45")
