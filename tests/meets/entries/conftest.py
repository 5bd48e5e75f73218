"""The meet that the sample files are meant for."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from athletes.reading.opening import read_table
from meets.entries.actions import create_meet
from meets.entries.checking import check_table
from meets.entries.columns import looks_like_headings
from meets.entries.programme import programme_of
from scoring.age_schemes import scheme

DATA = Path(__file__).parent / "data"
NOW = datetime(2026, 6, 20, 9, 0, tzinfo=UTC)


def table_of(name):
    return read_table(name, (DATA / name).read_bytes(), looks_right=looks_like_headings)


def table_from(text, name="entries.csv"):
    return read_table(name, text.encode(), looks_right=looks_like_headings)


@pytest.fixture
def meet(db):
    """Nine schools, ten events, U13 to U17 on 31 August 2026; nobody entered yet."""
    programme = programme_of(table_of("district_entries.csv"), scheme("uk-before-2026"))
    return create_meet(
        slug="district",
        name="District meet",
        date=date(2026, 7, 4),
        age_scheme="uk-before-2026",
        rule_set="international",
        programme=programme,
        by="organiser",
        now=NOW,
    ).meet


@pytest.fixture
def check(meet):
    """Check the text of a file, or a sample file by its name, for the meet."""

    def check(text):
        table = table_of(text) if "\n" not in text else table_from(text)
        return check_table(table, meet, now=NOW)

    return check
