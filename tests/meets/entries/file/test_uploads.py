import os
from datetime import UTC, datetime, timedelta

import pytest

from meets.entries.file import uploads

NOW = datetime(2026, 6, 20, 9, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    return tmp_path / "uploads"


def keep(session, **options):
    return uploads.keep(session, **{"meet_pk": 1, "name": "a.csv", "data": b"x", "now": NOW, **options})


def test_a_file_is_found_by_its_own_session_and_meet_alone():
    mine, other = {}, {}
    token = keep(mine)
    assert uploads.find(mine, meet_pk=1, token=token) == uploads.Upload(token, "a.csv", b"x")
    assert uploads.find(mine, meet_pk=2, token=token) is None
    assert uploads.find(other, meet_pk=1, token=token) is None
    assert uploads.find(mine, meet_pk=1, token=token[:-1] + "0") is None


def test_no_token_leads_out_of_the_folder(folder):
    folder.mkdir(parents=True)
    (folder.parent / "secret").write_bytes(b"secret")
    session = {"uploads": {"../secret": {"meet": 1, "name": "a.csv"}}}
    assert uploads.find(session, meet_pk=1, token="../secret") is None


def test_only_its_owner_may_read_a_kept_file(folder):
    token = keep({})
    assert (folder / token).stat().st_mode & 0o777 == 0o600
    assert folder.stat().st_mode & 0o777 == 0o700


def test_after_acceptance_the_problems_are_kept_in_its_place():
    session = {}
    token = keep(session)
    uploads.finish(session, token=token, problems=b"Line", stored=3, athletes_added=2, left=1)
    found = uploads.find(session, meet_pk=1, token=token)
    assert (found.data, found.stored, found.athletes_added, found.left) == (b"Line", 3, 2, 1)


def test_a_forgotten_file_is_gone(folder):
    session = {}
    token = keep(session)
    uploads.forget(session, token=token)
    uploads.forget(session, token=token)
    assert uploads.find(session, meet_pk=1, token=token) is None
    assert list(folder.iterdir()) == []


def test_files_are_removed_after_a_day(folder):
    session = {}
    old, new = keep(session), keep(session)
    yesterday = (NOW - timedelta(days=1, minutes=1)).timestamp()
    os.utime(folder / old, (yesterday, yesterday))
    os.utime(folder / new, (NOW.timestamp(), NOW.timestamp()))
    keep(session)
    assert uploads.find(session, meet_pk=1, token=old) is None
    assert uploads.find(session, meet_pk=1, token=new) is not None


def test_a_session_keeps_its_ten_latest_files(folder):
    session = {}
    tokens = [keep(session) for _n in range(12)]
    found = [uploads.find(session, meet_pk=1, token=token) is not None for token in tokens]
    assert found == [False] * 2 + [True] * 10
    assert len(list(folder.iterdir())) == 10


@pytest.mark.parametrize(
    ("given", "tidy"),
    [
        ("entries.csv", "entries.csv"),
        ("C:\\files\\entries.csv", "entries.csv"),
        ("../../etc/passwd", "passwd"),
        ("<b>.csv", "_b_.csv"),
        ("Łukasik (2).xlsx", "Łukasik (2).xlsx"),
        ("", "entries"),
        ("x" * 200 + ".csv", "x" * 76 + ".csv"),
    ],
)
def test_file_names_are_tidied(given, tidy):
    assert uploads.tidy_file_name(given) == tidy
