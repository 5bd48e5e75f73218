from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.ages import (
    SCHEMES,
    AgeGroup,
    AgeKind,
    AgeReason,
    AgeRule,
    NotAnAge,
    age_on,
    deciding_date,
    group_of,
    scheme,
    too_old_or_young,
)

AUGUST = date(2026, 8, 31)
OLD_UK = scheme("uk-before-2026")
NEW_UK = scheme("uk-2026")
GRADES = scheme("us-grades")
ANY_DAY = st.dates(date(2000, 1, 1), date(2040, 12, 31))


@pytest.mark.parametrize(
    ("key", "groups"),
    [
        ("uk-before-2026", ["U13", "U15", "U17", "U20"]),
        ("uk-2026", ["U10", "U12", "U14", "U16", "U18", "U20"]),
        ("world", ["U18", "U20"]),
        ("new-zealand", ["U14", "U16", "U19"]),
        ("western-australia", ["U13", "U14", "U15", "U16", "U17", "U20"]),
        ("victoria", ["U13", "U15", "U17", "U20"]),
        ("us-clubs", ["8U", "9-10", "11-12", "13-14", "15-16", "17-18"]),
        ("us-grades", ["G6", "G7", "G8", "HS"]),
    ],
)
def test_the_groups_of_each_scheme(key, groups):
    assert [group.key for group in scheme(key).groups] == groups


def test_every_scheme_says_where_it_is_from_and_is_found_by_its_key():
    assert [key for key, found in SCHEMES.items() if found.key != key or not found.source] == []
    assert len(SCHEMES) == 8


@pytest.mark.parametrize(
    ("find", "expected"),
    [
        (lambda: scheme("UK"), f"one of {', '.join(SCHEMES)}"),
        (lambda: OLD_UK.group("U14"), "one of U13, U15, U17, U20"),
    ],
)
def test_what_is_not_there_is_refused_with_the_list(find, expected):
    with pytest.raises(NotAnAge) as refusal:
        find()
    assert refusal.value.expected == expected


@pytest.mark.parametrize(
    ("key", "meet_date", "decides"),
    [
        ("uk-before-2026", date(2026, 6, 20), date(2026, 8, 31)),
        ("uk-before-2026", date(2026, 8, 31), date(2026, 8, 31)),
        ("uk-before-2026", date(2026, 9, 1), date(2027, 8, 31)),
        ("uk-before-2026", date(2026, 12, 31), date(2027, 8, 31)),
        ("uk-2026", date(2027, 1, 15), date(2027, 8, 31)),
        ("world", date(2026, 1, 1), date(2026, 12, 31)),
        ("new-zealand", date(2026, 12, 5), date(2026, 1, 1)),
        ("western-australia", date(2026, 10, 20), date(2026, 6, 30)),
        ("victoria", date(2026, 10, 20), date(2026, 12, 31)),
        ("us-clubs", date(2026, 7, 25), date(2026, 12, 31)),
        ("us-grades", date(2026, 4, 11), date(2026, 4, 11)),
    ],
)
def test_which_day_decides(key, meet_date, decides):
    assert deciding_date(scheme(key), meet_date) == decides


@pytest.mark.parametrize(
    ("born", "on", "age"),
    [
        (date(2011, 8, 31), AUGUST, 15),
        (date(2011, 9, 1), AUGUST, 14),
        (date(2026, 8, 31), AUGUST, 0),
        (date(2012, 2, 29), date(2026, 2, 28), 13),
        (date(2012, 2, 29), date(2026, 3, 1), 14),
        (date(2012, 2, 29), date(2028, 2, 28), 15),
        (date(2012, 2, 29), date(2028, 2, 29), 16),
    ],
)
def test_age(born, on, age):
    assert age_on(born, on) == age


def test_nobody_has_an_age_before_birth():
    with pytest.raises(NotAnAge) as refusal:
        age_on(date(2026, 9, 1), AUGUST)
    assert (refusal.value.value, refusal.value.expected) == (
        "2026-09-01",
        "a birth date not after 2026-08-31",
    )


def reason(kind, found=None, limit=None, on=AUGUST, by_school_year=False):
    return [AgeReason(kind, on, found, limit, by_school_year)]


@pytest.mark.parametrize(
    ("born", "key", "reasons"),
    [
        (date(2011, 8, 31), "U15", reason(AgeKind.TOO_OLD, 15, 15)),
        (date(2011, 9, 1), "U15", []),
        (date(2013, 8, 31), "U15", []),
        (date(2013, 9, 1), "U15", reason(AgeKind.YOUNGER_THAN_GROUP, 12, 13)),
        (date(2006, 9, 1), "U20", []),
        (date(2006, 8, 31), "U20", reason(AgeKind.TOO_OLD, 20, 20)),
        (None, "U15", reason(AgeKind.NO_BIRTH_DATE)),
        (date(2026, 9, 1), "U15", reason(AgeKind.NOT_YET_BORN)),
        (date(2026, 8, 31), "U15", reason(AgeKind.YOUNGER_THAN_GROUP, 0, 13)),
    ],
)
def test_a_birth_date_against_a_group(born, key, reasons):
    assert too_old_or_young(born, OLD_UK.group(key), AUGUST) == reasons


def test_a_school_year_means_nothing_where_only_the_birth_date_counts():
    u15 = OLD_UK.group("U15")
    expected = reason(AgeKind.TOO_OLD, 15, 15)
    assert too_old_or_young(date(2011, 8, 31), u15, AUGUST, school_year=9) == expected


DISAGREES = AgeKind.SCHOOL_YEAR_DISAGREES


@pytest.mark.parametrize(
    ("born", "school_year", "reasons"),
    [
        (date(2013, 5, 1), None, []),
        (date(2013, 5, 1), 8, []),
        (date(2012, 8, 31), None, reason(AgeKind.TOO_OLD, 14, 14)),
        (date(2012, 8, 31), 9, reason(AgeKind.TOO_OLD, 14, 14)),
        # kept down: the birth date is too old, the school year fits
        (date(2012, 8, 31), 8, reason(DISAGREES, 14, 14)),
        # moved up: the birth date fits, the school year does not
        (date(2012, 9, 1), 9, reason(DISAGREES, 9, 8, by_school_year=True)),
        (date(2014, 8, 31), 6, reason(DISAGREES, 6, 7, by_school_year=True)),
        (date(2014, 9, 1), 7, reason(DISAGREES, 11, 12)),
        (date(2014, 9, 1), 6, reason(AgeKind.YOUNGER_THAN_GROUP, 11, 12)),
        (None, 8, reason(AgeKind.NO_BIRTH_DATE)),
        (date(2030, 1, 1), 8, reason(AgeKind.NOT_YET_BORN)),
        (AUGUST, 8, reason(DISAGREES, 0, 12)),
    ],
)
def test_school_year_and_birth_date_together(born, school_year, reasons):
    assert too_old_or_young(born, NEW_UK.group("U14"), AUGUST, school_year=school_year) == reasons


@pytest.mark.parametrize(
    ("born", "meet_date", "reasons"),
    [
        (date(2007, 1, 1), date(2026, 6, 20), []),
        (
            date(2006, 12, 31),
            date(2026, 6, 20),
            reason(AgeKind.TOO_OLD, 20, 20, on=date(2026, 12, 31)),
        ),
        # an autumn meet is decided on the next 31 August, its upper limit still by its own calendar year
        (date(2007, 1, 1), date(2026, 10, 10), []),
        (
            date(2009, 9, 1),
            date(2026, 10, 10),
            reason(AgeKind.YOUNGER_THAN_GROUP, 17, 18, on=date(2027, 8, 31)),
        ),
        (date(2009, 8, 31), date(2026, 10, 10), []),
    ],
)
def test_the_upper_limit_of_the_oldest_group_is_the_end_of_the_calendar_year(born, meet_date, reasons):
    on = deciding_date(NEW_UK, meet_date)
    assert too_old_or_young(born, NEW_UK.group("U20"), on, meet_date=meet_date) == reasons


@pytest.mark.parametrize(
    ("key", "school_year", "reasons"),
    [
        ("G7", 7, []),
        ("HS", 12, []),
        ("HS", 13, reason(AgeKind.TOO_OLD, 13, 12, by_school_year=True)),
        ("HS", 8, reason(AgeKind.YOUNGER_THAN_GROUP, 8, 9, by_school_year=True)),
        ("HS", None, reason(AgeKind.NO_SCHOOL_YEAR, by_school_year=True)),
    ],
)
def test_a_grade_needs_no_birth_date(key, school_year, reasons):
    assert too_old_or_young(None, GRADES.group(key), AUGUST, school_year=school_year) == reasons


def test_a_group_without_upper_limit_takes_everybody():
    open_to_all = AgeGroup("OPEN", "Open", AgeRule(at_least=11))
    assert too_old_or_young(date(1950, 1, 1), open_to_all, AUGUST) == []


def test_nobody_is_too_young_for_a_group_without_lower_edge():
    assert too_old_or_young(date(2022, 1, 1), scheme("us-clubs").group("8U"), date(2026, 12, 31)) == []


@pytest.mark.parametrize(
    ("kind", "refuses"),
    [
        (AgeKind.TOO_OLD, True),
        (AgeKind.NO_BIRTH_DATE, True),
        (AgeKind.NO_SCHOOL_YEAR, True),
        (AgeKind.NOT_YET_BORN, True),
        (AgeKind.YOUNGER_THAN_GROUP, False),
        (AgeKind.SCHOOL_YEAR_DISAGREES, False),
    ],
)
def test_what_refuses_and_what_asks(kind, refuses):
    assert AgeReason(kind, AUGUST).refuses is refuses


# Every group by its first and last birth date at a meet of 20 June 2026.
@pytest.mark.parametrize(
    ("key", "group", "first", "last"),
    [
        ("uk-before-2026", "U13", date(2013, 9, 1), date(2015, 8, 31)),
        ("uk-before-2026", "U15", date(2011, 9, 1), date(2013, 8, 31)),
        ("uk-before-2026", "U17", date(2009, 9, 1), date(2011, 8, 31)),
        ("uk-before-2026", "U20", date(2006, 9, 1), date(2009, 8, 31)),
        ("uk-2026", "U10", date(2016, 9, 1), date(2018, 8, 31)),
        ("uk-2026", "U12", date(2014, 9, 1), date(2016, 8, 31)),
        ("uk-2026", "U14", date(2012, 9, 1), date(2014, 8, 31)),
        ("uk-2026", "U16", date(2010, 9, 1), date(2012, 8, 31)),
        ("uk-2026", "U18", date(2008, 9, 1), date(2010, 8, 31)),
        ("uk-2026", "U20", date(2007, 1, 1), date(2008, 8, 31)),
        ("world", "U18", date(2009, 1, 1), date(2010, 12, 31)),
        ("world", "U20", date(2007, 1, 1), date(2008, 12, 31)),
        ("new-zealand", "U14", date(2012, 1, 2), date(2014, 1, 1)),
        ("new-zealand", "U19", date(2007, 1, 2), date(2010, 1, 1)),
        ("western-australia", "U14", date(2012, 7, 1), date(2013, 6, 30)),
        ("victoria", "U15", date(2012, 1, 1), date(2013, 12, 31)),
        ("us-clubs", "13-14", date(2012, 1, 1), date(2013, 12, 31)),
        ("us-clubs", "8U", date(2018, 1, 1), date(2026, 6, 20)),
    ],
)
def test_the_first_and_last_birth_date_of_a_group(key, group, first, last):
    found, meet_date = scheme(key), date(2026, 6, 20)
    on = deciding_date(found, meet_date)

    def group_key(born):
        belongs = group_of(found, born, on, meet_date=meet_date)
        return belongs and belongs.key

    day_before = date.fromordinal(first.toordinal() - 1)
    day_after = date.fromordinal(last.toordinal() + 1)
    assert (group_key(first), group_key(last)) == (group, group)
    assert group_key(day_before) != group
    assert group_key(day_after) != group or group == "8U"


@pytest.mark.parametrize(
    ("school_year", "key"), [(5, None), (6, "G6"), (9, "HS"), (12, "HS"), (13, None), (None, None)]
)
def test_the_group_of_a_grade(school_year, key):
    group = group_of(GRADES, None, AUGUST, school_year=school_year)
    assert (group and group.key) == key


def test_the_birth_date_gives_the_group_where_the_school_year_disagrees():
    assert group_of(NEW_UK, date(2012, 8, 31), AUGUST, school_year=8).key == "U16"


@given(ANY_DAY, ANY_DAY)
def test_the_deciding_31_august_is_never_before_the_meet_and_within_a_year(born, meet_date):
    on = deciding_date(OLD_UK, meet_date)
    assert 0 <= (on - meet_date).days <= 365
    assert (on.month, on.day) == (8, 31)


@given(ANY_DAY, ANY_DAY, st.sampled_from([key for key in SCHEMES if key != "us-grades"]))
def test_an_athlete_belongs_to_at_most_one_group_and_may_always_ask_for_an_older_one(born, meet_date, key):
    found = scheme(key)
    on = deciding_date(found, meet_date)
    refused = [
        any(reason.refuses for reason in too_old_or_young(born, group, on, meet_date=meet_date))
        for group in found.groups
    ]
    clean = [not too_old_or_young(born, group, on, meet_date=meet_date) for group in found.groups]
    assert sum(clean) <= 1
    assert born > on or refused == sorted(refused, reverse=True)


def test_born_after_the_upper_day_is_only_too_young():
    group = SCHEMES["uk-2026"].group("U20")
    reasons = too_old_or_young(date(2010, 1, 1), group, date(2010, 8, 31), meet_date=date(2009, 9, 1))
    assert [reason.kind for reason in reasons] == [AgeKind.YOUNGER_THAN_GROUP]
