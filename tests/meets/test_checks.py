import pytest
from django.db import connection
from django.db.backends.sqlite3.base import Database

from meets.checks import has_wal_reset_fault, sqlite_loses_nothing


# The versions: from published reports of the fault.
@pytest.mark.parametrize(
    ("version", "faulty"),
    [
        ((3, 6, 23), False),
        ((3, 7, 0), True),
        ((3, 40, 1), True),
        ((3, 44, 5), True),
        ((3, 44, 6), False),
        ((3, 45, 0), True),
        ((3, 50, 6), True),
        ((3, 50, 7), False),
        ((3, 51, 2), True),
        ((3, 51, 3), False),
        ((3, 52, 0), False),
    ],
)
def test_versions_with_the_fault(version, faulty):
    assert has_wal_reset_fault(version) is faulty


@pytest.mark.skipif(connection.vendor != "sqlite", reason="about SQLite")
@pytest.mark.parametrize(("version", "warnings"), [((3, 40, 1), ["meets.W001"]), ((3, 51, 3), [])])
def test_the_warning_names_the_version(monkeypatch, version, warnings):
    monkeypatch.setattr(Database, "sqlite_version_info", version)
    found = sqlite_loses_nothing(databases=["default"])
    assert [warning.id for warning in found] == warnings
    assert all("3.40.1" in warning.msg for warning in found)


def test_no_warning_without_a_database_of_that_kind():
    assert sqlite_loses_nothing(databases=[]) == []
