"""Ages against another calendar: `relativedelta` of the PyPI package python-dateutil.

The two agree on every pair of days but one kind, listed in the table below: for somebody born on 29 February,
dateutil completes the year on 28 February of a common year, the engine on 1 March (common practice).
"""

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import example, given
from hypothesis import strategies as st

from scoring.ages import SCHEMES, AgeKind, age_on, deciding_date, scheme, too_old_or_young

BIRTH_DATES = st.dates(date(1990, 1, 1), date(2026, 12, 31))
OVER_TWENTY_YEARS = st.integers(0, 20 * 366)


def leap_day_on_28_february(born, on):
    leap_year = on.year % 4 == 0 and (on.year % 100 != 0 or on.year % 400 == 0)
    return (born.month, born.day) == (2, 29) and (on.month, on.day) == (2, 28) and not leap_year


@given(BIRTH_DATES, OVER_TWENTY_YEARS)
@example(date(2012, 2, 29), (date(2026, 3, 1) - date(2012, 2, 29)).days)
@example(date(2012, 2, 29), (date(2028, 2, 28) - date(2012, 2, 29)).days)
@example(date(2011, 8, 31), (date(2026, 8, 31) - date(2011, 8, 31)).days)
def test_age_is_the_whole_years_between_two_days(born, days):
    on = born + timedelta(days)
    years = relativedelta(on, born).years
    assert age_on(born, on) == years - (leap_day_on_28_february(born, on) and years > 0)


@given(st.integers(1988, 2026), st.integers(1, 20))
def test_a_birthday_is_the_first_day_of_the_new_age(year, age):
    """Born on 31 August: `relativedelta` finds the birthday, the engine counts up on that day and not before."""
    born = date(year, 8, 31)
    birthday = born + relativedelta(years=age)
    assert (age_on(born, birthday - timedelta(1)), age_on(born, birthday)) == (age - 1, age)


# dateutil and the engine side by side on the days around the leap day that is not there
@pytest.mark.parametrize(
    ("on", "dateutil_years", "years"),
    [
        (date(2025, 2, 27), 12, 12),
        (date(2025, 2, 28), 13, 12),
        (date(2025, 3, 1), 13, 13),
        (date(2028, 2, 28), 15, 15),
        (date(2028, 2, 29), 16, 16),
        (date(2028, 3, 1), 16, 16),
        (date(2100, 2, 28), 88, 87),
        (date(2100, 3, 1), 88, 88),
    ],
)
def test_born_on_29_february_2012(on, dateutil_years, years):
    born = date(2012, 2, 29)
    assert (relativedelta(on, born).years, age_on(born, on)) == (dateutil_years, years)


@given(BIRTH_DATES, st.dates(date(2027, 1, 1), date(2040, 12, 31)))
def test_under_n_is_a_birthday_after_the_deciding_day(born, meet_date):
    """ "Under 15 on 31 August": the fifteenth birthday lies after it. No age is counted here at all."""
    on = deciding_date(SCHEMES["uk-before-2026"], meet_date)
    reasons = too_old_or_young(born, scheme("uk-before-2026").group("U15"), on)
    fifteenth, thirteenth = born + relativedelta(years=15), born + relativedelta(years=13)
    expected = [AgeKind.TOO_OLD] if fifteenth <= on else [AgeKind.YOUNGER_THAN_GROUP] if thirteenth > on else []
    assert [reason.kind for reason in reasons] == expected
