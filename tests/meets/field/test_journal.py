"""The journal of SQLite is put into the database while nobody writes; each test in a process of its own."""

import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest

from tests.bench.serving import ROOT
from tests.faults.server import environment_for

PROGRAM = """
import django; django.setup()
from django.core.management import call_command
from django.db import connection
call_command("migrate", verbosity=0, skip_checks=True)
from meets.field import journal
from athletes.models import School
{}
"""
WRITE = """
for number in range(%d):
    School.objects.create(code=f"S{number}", name="x" * 80)
"""


def ran(folder, program: str) -> list[str]:
    environment = environment_for(folder, f"sqlite:///{folder / 'meets.sqlite3'}")
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM.format(program)], cwd=ROOT, env=environment, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_no_connection_puts_it_in_by_itself_and_a_checkpoint_does(tmp_path):
    """Left to itself SQLite does it at 1000 pages, which is 4 MB."""
    before, made, after, schools = ran(
        tmp_path,
        (WRITE % 600)
        + "print(journal.journal_bytes(), journal.checkpoint(), journal.journal_bytes(), School.objects.count())",
    )
    assert int(before) > 4_500_000
    assert (made, after, schools) == ("True", "0", "600")


def test_after_a_request_it_is_put_in_once_it_is_long(tmp_path):
    short, long = ran(
        tmp_path,
        "journal.checkpoint()\n"
        + (WRITE % 5)
        + "journal.checkpoint_when_long(); print(journal.journal_bytes() > 0)\n"
        + "journal.LONG_BYTES = 1\njournal.checkpoint_when_long(); print(journal.journal_bytes())",
    )
    assert (short, long) == ("True", "0")


def test_somebody_who_reads_is_not_disturbed(tmp_path):
    reading = """
import sqlite3
reader = sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)
reader.execute("BEGIN"); reader.execute("SELECT count(*) FROM athletes_school").fetchone()
"""
    counted = 'print(journal.checkpoint(), reader.execute("SELECT count(*) FROM athletes_school").fetchone()[0])\n'
    said = ran(tmp_path, reading + (WRITE % 5) + counted + 'reader.execute("COMMIT")\nprint(journal.checkpoint())')
    assert said == ["False", "0", "True"]


@pytest.mark.django_db
def test_in_memory_and_on_postgresql_there_is_nothing_to_do():
    from meets.field import journal

    assert journal.journal_file() is None
    assert journal.journal_bytes() == 0
    assert journal.checkpoint()


def test_what_was_written_is_in_the_file_itself(tmp_path):
    ran(tmp_path, (WRITE % 5) + "journal.checkpoint(); import os; os._exit(0)")
    (tmp_path / "meets.sqlite3-wal").unlink(missing_ok=True)
    with closing(sqlite3.connect(tmp_path / "meets.sqlite3")) as reading:
        assert reading.execute("SELECT count(*) FROM athletes_school").fetchone() == (5,)


def test_every_connection_is_as_safe_as_it_can_be(tmp_path):
    """WAL, FULL (2), no checkpoints by itself, a delete trigger that also REPLACE meets."""
    names = ["journal_mode", "synchronous", "wal_autocheckpoint", "recursive_triggers"]
    said = ran(tmp_path, f"for name in {names}: print(connection.cursor().execute(f'PRAGMA {{name}}').fetchone()[0])")
    assert said == ["wal", "2", "0", "1"]
