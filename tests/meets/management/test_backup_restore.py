"""Backups and what is put back; the commands run as people run them, on a database file of their own."""

import os
import re
import shutil
import sqlite3
import stat
import subprocess
import sys
from contextlib import closing
from functools import partial
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection

from meets.models import ServerEpoch
from tests.bench.serving import ROOT
from tests.faults.server import environment_for

pytestmark = pytest.mark.slow


def run_in(folder, *arguments: str) -> subprocess.CompletedProcess:
    environment = environment_for(folder, f"sqlite:///{folder / 'meets.sqlite3'}")
    line = [sys.executable, "manage.py", *arguments]
    return subprocess.run(line, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=120)


@pytest.fixture(scope="module")
def empty_database(tmp_path_factory):
    folder = tmp_path_factory.mktemp("empty")
    assert run_in(folder, "migrate", "-v0", "--skip-checks").returncode == 0
    return folder / "meets.sqlite3"


@pytest.fixture
def manage(tmp_path, empty_database):
    """Runs a command on the database file in `tmp_path`."""
    shutil.copyfile(empty_database, tmp_path / "meets.sqlite3")
    return partial(run_in, tmp_path)


def change(tmp_path, statement: str, *values: object) -> None:
    with closing(sqlite3.connect(tmp_path / "meets.sqlite3")) as writing, writing:
        writing.execute(statement, values)


def add_school(tmp_path, code: str) -> None:
    change(tmp_path, "INSERT INTO athletes_school (code, name, contact_email) VALUES (?, ?, '')", code, code)


def schools(file) -> list[str]:
    with closing(sqlite3.connect(file)) as reading:
        return [code for (code,) in reading.execute("SELECT code FROM athletes_school ORDER BY code")]


def lives(file) -> int:
    with closing(sqlite3.connect(file)) as reading:
        return reading.execute("SELECT count(*) FROM meets_serverepoch").fetchone()[0]


def backed_up(manage, folder) -> str:
    made = manage("backup", str(folder))
    assert made.returncode == 0, made.stderr
    return re.search(r"checked: (.+?) \(", made.stdout)[1]


def test_a_backup_holds_what_was_there_and_is_read_by_nobody_else(manage, tmp_path):
    add_school(tmp_path, "ABB")
    copy = backed_up(manage, tmp_path / "copies")
    add_school(tmp_path, "BRK")
    assert schools(copy) == ["ABB"]
    assert stat.S_IMODE(os.stat(copy).st_mode) == 0o600
    assert [path.name for path in (tmp_path / "copies").iterdir()] == [os.path.basename(copy)]


def test_only_the_last_ones_are_kept(manage, tmp_path):
    folder = tmp_path / "copies"
    folder.mkdir()
    for day in range(1, 6):
        shutil.copyfile(tmp_path / "meets.sqlite3", folder / f"meets-2020-01-0{day}-120000.sqlite3")
    (folder / "something of somebody else.sqlite3").touch()
    assert manage("backup", str(folder), "--keep", "3").returncode == 0
    kept = sorted(path.name for path in folder.iterdir())
    assert kept[:2] == ["meets-2020-01-04-120000.sqlite3", "meets-2020-01-05-120000.sqlite3"]
    assert kept[3:] == ["something of somebody else.sqlite3"]


def test_what_is_put_back_replaces_what_was_there_which_is_kept(manage, tmp_path):
    add_school(tmp_path, "ABB")
    copy = backed_up(manage, tmp_path / "copies")
    add_school(tmp_path, "BRK")
    done = manage("restore", copy)
    assert (done.returncode, "Phones that still hold entries send them again by themselves" in done.stdout) == (0, True)
    aside = re.search(r"is kept: (.+?) \(", done.stdout)[1]
    assert (schools(tmp_path / "meets.sqlite3"), schools(aside)) == (["ABB"], ["ABB", "BRK"])
    assert lives(tmp_path / "meets.sqlite3") == lives(copy) + 1
    assert not list(tmp_path.glob("*.restoring"))


def test_nothing_is_put_back_while_somebody_has_the_database_open(manage, tmp_path):
    copy = backed_up(manage, tmp_path / "copies")
    add_school(tmp_path, "ABB")
    with closing(sqlite3.connect(tmp_path / "meets.sqlite3")) as other:
        other.execute("SELECT count(*) FROM athletes_school").fetchone()
        refused = manage("restore", copy)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert refused.stderr.strip().splitlines()[-1] == (
        "Another program has the database open. Stop the server first, then restore."
    )
    assert schools(tmp_path / "meets.sqlite3") == ["ABB"]


def test_a_damaged_database_is_no_reason_not_to_restore(manage, tmp_path):
    add_school(tmp_path, "ABB")
    copy = backed_up(manage, tmp_path / "copies")
    (tmp_path / "meets.sqlite3").write_bytes(b"something else entirely" * 1000)
    done = manage("restore", copy)
    assert done.returncode == 0, done.stderr
    assert "it could not be read" in done.stdout
    assert schools(tmp_path / "meets.sqlite3") == ["ABB"]


def test_where_there_was_no_database_there_is_one_after_it(manage, tmp_path):
    copy = backed_up(manage, tmp_path / "copies")
    for file in tmp_path.glob("meets.sqlite3*"):
        file.unlink()
    assert manage("restore", copy).returncode == 0
    assert schools(tmp_path / "meets.sqlite3") == []


def test_what_is_no_backup_is_refused_and_nothing_is_changed(manage, tmp_path):
    add_school(tmp_path, "ABB")
    damaged = tmp_path / "damaged.sqlite3"
    whole = (tmp_path / "meets.sqlite3").read_bytes()
    damaged.write_bytes(whole[:8192] + b"\xff" * 8192 + whole[16384:])
    (tmp_path / "text.sqlite3").write_text("hello")
    before = whole
    for file in ("damaged.sqlite3", "text.sqlite3", "not there.sqlite3"):
        refused = manage("restore", str(tmp_path / file))
        assert (refused.returncode, refused.stdout) == (2, "")
    assert (tmp_path / "meets.sqlite3").read_bytes() == before


def test_a_backup_of_a_newer_version_is_refused(manage, tmp_path):
    change(tmp_path, "INSERT INTO django_migrations (app, name, applied) VALUES ('meets', '9999_later', '2030-01-01')")
    refused = manage("restore", backed_up(manage, tmp_path / "copies"))
    assert refused.returncode == 2
    assert "was made by a newer version of this program (9999_later)" in refused.stderr


def test_a_backup_of_an_older_version_is_brought_up_to_date(manage, tmp_path):
    older = tmp_path / "older"
    older.mkdir()
    copy = tmp_path / "older.sqlite3"
    environment = environment_for(older, f"sqlite:///{copy}")
    line = [sys.executable, "manage.py", "migrate", "-v0", "--skip-checks", "meets", "0004"]
    subprocess.run(line, cwd=ROOT, env=environment, check=True, capture_output=True)
    assert manage("restore", str(copy)).returncode == 0
    said = manage("migrate", "--check", "--skip-checks")
    assert said.returncode == 0, said.stdout


@pytest.mark.parametrize("arguments", [(), ("a file", "--already-restored")])
def test_it_wants_a_file_or_the_word_that_there_is_none(manage, arguments):
    refused = manage("restore", *arguments)
    assert (refused.returncode, "expected the FILE of a backup" in refused.stderr) == (2, True)


@pytest.mark.django_db
def test_after_other_tools_have_restored_it_a_new_life_begins():
    out = StringIO()
    call_command("restore", "--already-restored", stdout=out)
    assert ServerEpoch.objects.count() == 1
    assert out.getvalue().startswith("Phones that still hold entries send them again")


@pytest.mark.django_db
@pytest.mark.skipif(connection.vendor != "postgresql", reason="what PostgreSQL is told to do itself")
def test_postgresql_is_told_how():
    for line, expected in ((["backup", "somewhere"], "pg_dump --format=custom"), (["restore", "file"], "pg_restore")):
        err = StringIO()
        with pytest.raises(SystemExit):
            call_command(*line, stderr=err)
        assert expected in err.getvalue()


def test_a_number_of_backups_to_keep_is_at_least_one(manage, tmp_path):
    refused = manage("backup", str(tmp_path / "copies"), "--keep", "0")
    assert (refused.returncode, refused.stderr.strip()) == (2, "--keep 0: expected 1 or more")
