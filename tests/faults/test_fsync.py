"""The disk has an entry before the phone is told so: seen in the calls that the server makes."""

import os
import re
import shutil
import time

import pytest

from tests.conftest import missing
from tests.faults.conftest import SQLITE, field_on
from tests.faults.phone import Phone

pytestmark = pytest.mark.slow
CALLS = "trace=fdatasync,fsync,pwrite64,sendto"


@pytest.fixture
def traced(request, tmp_path):
    """A function that sends an entry to a traced server and gives the calls of the thread that answered, in order."""
    strace = shutil.which("strace") or missing("strace")
    servers = []

    def calls(synchronous: str) -> list[str]:
        folder = tmp_path / synchronous
        folder.mkdir()
        field = field_on(SQLITE, folder, request, FAULTS_SYNCHRONOUS=synchronous)
        servers.append(field.server)
        trace = folder / "calls"
        field.server.start(strace, "-f", "-qq", "-s", "80", "-e", CALLS, "-o", os.fspath(trace))
        phone = Phone(field.server.port, field.meet, field.ledger, timeout_s=30)
        for _entry in range(3):
            phone.write()
            assert phone.push()
        time.sleep(0.5)
        field.server.kill()
        return trace.read_text(errors="replace").splitlines()

    yield calls
    for server in servers:
        server.kill()


def between_write_and_answer(lines: list[str]) -> list[list[str]]:
    """For each push answered: what its thread did between its last write to the database and the answer."""
    found = []
    by_thread: dict[str, list[str]] = {}
    for line in lines:
        thread, _blank, call = line.strip().partition(" ")
        name = re.match(r"\w+", call.lstrip())
        if name is None:
            continue
        done = by_thread.setdefault(thread, [])
        done.append(name[0])
        if name[0] == "sendto" and "HTTP/1.1 200" in call:
            if "pwrite64" in done:
                at = len(done) - 1 - done[::-1].index("pwrite64")
                found.append(done[at + 1 : -1])
            done.clear()
    return found


def test_an_entry_is_on_the_disk_before_it_is_answered(traced):
    answered = between_write_and_answer(traced("FULL"))
    assert len(answered) >= 3
    assert [calls for calls in answered if "fdatasync" not in calls and "fsync" not in calls] == []


def test_with_a_setting_that_is_less_safe_this_test_would_fail(traced):
    answered = between_write_and_answer(traced("NORMAL"))
    assert len(answered) >= 3
    assert [calls for calls in answered if "fdatasync" in calls or "fsync" in calls] == []
