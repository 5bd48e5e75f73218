import io

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.backends.sqlite3.base import Database

from tests.factories import MeetFactory

pytestmark = pytest.mark.django_db


def said(*options: str) -> str:
    out = io.StringIO()
    call_command("demo", "--no-serve", *options, stdout=out)
    return out.getvalue()


@pytest.mark.skipif(connection.vendor != "sqlite", reason="about SQLite")
def test_whoever_starts_it_on_a_faulty_sqlite_is_told_what_to_do(monkeypatch):
    MeetFactory()
    monkeypatch.setattr(Database, "sqlite_version_info", (3, 40, 1))
    text = said()
    words = " ".join(text.split())
    assert words.startswith(
        "The meets of an earlier run are still there (--again plays another day). "
        "Before you run a real meet on this computer: This computer's SQLite (3.40.1) has a known fault: "
    )
    assert "A meet on one laptop is fine if the paper sheets are kept until the results are out." in words
    assert text.index("known fault") < text.index("Sign in as:")
    assert max(map(len, text.splitlines())) <= 100


def test_nothing_is_said_where_nothing_is_wrong(monkeypatch):
    MeetFactory()
    monkeypatch.setattr(Database, "sqlite_version_info", (3, 51, 3))
    assert "fault" not in said()
