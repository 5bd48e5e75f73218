import pytest

from athletes.reading.table import Table, Unreadable
from meets.entries.columns import HEADINGS, Field, field_of, looks_like_headings, match_columns

SAMPLE = ("School code", "School", "First name", "Surname", "Date of birth", "Sex", "Event", "String", "Best", "Board")


def table(*headings):
    return Table("entries.csv", headings, 1, ())


def test_the_ten_headings_of_the_sample():
    columns = match_columns(table(*SAMPLE))
    assert columns.of == dict(zip(list(Field)[:10], range(10), strict=True))
    assert columns.unknown == ()


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("SCHOOL CODE", Field.CODE),
        ("school_code", Field.CODE),
        ("Code", Field.CODE),
        ("School name", Field.SCHOOL),
        ("Forename", Field.FIRST_NAME),
        ("first-name", Field.FIRST_NAME),
        ("Given Name", Field.FIRST_NAME),
        ("Last name", Field.LAST_NAME),
        ("Family name", Field.LAST_NAME),
        ("D.O.B.", Field.BORN),
        ("Date of birth (dd/mm/yyyy)", Field.BORN),
        ("Birthdate", Field.BORN),
        ("Gender", Field.SEX),
        ("M/F", Field.SEX),
        ("Event name", Field.EVENT),
        ("A or B", Field.STRING),
        ("PB", Field.BEST),
        ("PB (m)", Field.BEST),
        ("Season's best", Field.BEST),
        ("Take-off board", Field.BOARD),
        ("Year group", Field.SCHOOL_YEAR),
        ("Age Group", Field.AGE_GROUP),
        ("Shoe size", None),
        ("Age", None),
        ("Class", None),
        ("", None),
    ],
)
def test_spellings(heading, field):
    assert field_of(heading) == field


@pytest.mark.parametrize("field", list(Field))
def test_each_field_is_known_by_its_own_heading(field):
    assert field_of(str(HEADINGS[field])) == field


def test_order_does_not_matter_and_other_columns_are_named():
    columns = match_columns(table("Event", "Sex", "Shoe size", "DOB", "Surname", "", "Forename", "School"))
    assert columns.of == {
        Field.EVENT: 0,
        Field.SEX: 1,
        Field.BORN: 3,
        Field.LAST_NAME: 4,
        Field.FIRST_NAME: 6,
        Field.SCHOOL: 7,
    }
    assert columns.unknown == ("Shoe size",)


@pytest.mark.parametrize(
    ("headings", "says"),
    [
        (
            ("School", "First name", "Surnam", "DOB", "Sex", "Event"),
            "entries.csv, line 1: the headings do not name a column for: Surname. Expected at least: School code, "
            'First name, Surname, Date of birth, Sex, Event. Is "Surnam" meant to be "Surname"? '
            "Name the columns in the first line and send the file again.",
        ),
        (
            ("First name", "Surname", "Sex", "Event"),
            "entries.csv, line 1: the headings do not name a column for: School code, Date of birth. "
            "Expected at least: School code, First name, Surname, Date of birth, Sex, Event. "
            "Name the columns in the first line and send the file again.",
        ),
        (
            ("School", "First name", "Surname", "Last name", "DOB", "Sex", "Event"),
            'entries.csv, line 1, column Last name: the columns "Surname" and "Last name" both say: Surname. '
            "Keep one of them.",
        ),
    ],
)
def test_missing_and_double_columns_are_refused(headings, says):
    with pytest.raises(Unreadable) as caught:
        match_columns(table(*headings))
    assert str(caught.value) == says


@pytest.mark.parametrize(
    ("texts", "likely"),
    [
        (SAMPLE, True),
        (("Forename", "Surname", "Event"), True),
        (("District meet entries",), False),
        (("MAR", "Marrowdale Academy", "Orla", "Elmsall", "07/12/2014", "F"), False),
    ],
)
def test_what_looks_like_headings(texts, likely):
    assert looks_like_headings(texts) is likely
