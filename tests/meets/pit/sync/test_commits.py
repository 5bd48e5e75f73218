"""On databases that really commit: what is answered is there for everybody, once, and in a place of its own."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import OperationalError, connection, connections

from meets.models import Delivery, LogRow, Stream
from tests.meets.pit.sync.crowd import a_meet_with_phones, deliver_at_once
from tests.meets.pit.sync.phone import statuses

ROOT = Path(__file__).resolve().parents[4]
EACH = 36
several_connections = pytest.mark.skipif(
    connection.vendor == "sqlite", reason="SQLite in memory has no second connection; a file is tried below"
)


def expected(entries: int, times: int) -> dict[str, int]:
    return {"stored": entries, "duplicate": entries * (times - 1), "stored for all to see": entries * times}


@several_connections
@pytest.mark.django_db(transaction=True)
def test_many_phones_at_once():
    event, phones = a_meet_with_phones()

    def seen(id):
        # The connection of this thread is outside any transaction by now: it sees what others have committed.
        assert not connections["default"].in_atomic_block
        return LogRow.objects.filter(pk=id).exists()

    assert deliver_at_once(phones, each=3, seen=seen) == expected(EACH, 3)
    assert list(event.log.order_by("rev").values_list("rev", flat=True)) == list(range(1, EACH + 2))
    assert (Delivery.objects.count(), Stream.objects.count()) == (EACH, 3)
    assert set(Stream.objects.values_list("upto", "max_seq")) == {(12, 12)}


@pytest.mark.django_db(transaction=True)
def test_a_batch_is_whole_or_not_there():
    """Something breaks behind the first row of a batch: nothing of it stays, and sending it again stores it all."""
    event, phones = a_meet_with_phones()

    def breaks(execute, sql, params, many, context):
        if "UPDATE meets_stream" in sql or "EXECUTE stream_kept" in sql:
            raise OperationalError("the disk is full")
        return execute(sql, params, many, context)

    with connection.execute_wrapper(breaks), pytest.raises(OperationalError):
        phones[0].send_all()
    assert (Delivery.objects.count(), Stream.objects.count(), event.log.count()) == (0, 0, 1)
    assert statuses(phones[0].send_all()) == ["stored"] * 12


def of_a_program(what: str, folder: Path) -> str:
    """What the program says about the lock of a database that is a file in this folder."""
    environment = {
        "DATABASE_URL": f"sqlite:///{folder}/meets.sqlite3",
        "NEAREST_BREAK_DATA": str(folder),
        "DJANGO_SETTINGS_MODULE": "meets.settings",
    }
    command = [sys.executable, "-m", "tests.meets.pit.sync.crowd", what]
    ran = subprocess.run(command, cwd=ROOT, env={**os.environ, **environment}, stdout=subprocess.PIPE, check=True)
    return ran.stdout.decode()


@pytest.mark.slow
def test_many_phones_at_once_on_a_file(tmp_path):
    said = json.loads(of_a_program("deliver", tmp_path))
    assert said == {"said": expected(EACH, 3), "revs": list(range(1, EACH + 2)), "deliveries": EACH}
    assert (tmp_path / "write.lock").exists()


def test_one_thread_writes_at_a_time(tmp_path):
    assert of_a_program("count", tmp_path) == "80"


def test_who_waits_too_long_to_write_is_told(tmp_path):
    holds = (
        f"import fcntl, os, sys; file = os.open({str(tmp_path / 'write.lock')!r}, os.O_RDWR | os.O_CREAT);"
        "fcntl.flock(file, fcntl.LOCK_EX); print('held', flush=True); sys.stdin.read()"
    )
    other = subprocess.Popen([sys.executable, "-c", holds], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    try:
        assert other.stdout.readline() == b"held\n"
        assert of_a_program("wait", tmp_path) == "another process holds the right to write"
    finally:
        other.communicate()
    assert of_a_program("wait", tmp_path) == "got it"
