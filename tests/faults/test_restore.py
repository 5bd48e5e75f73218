"""A backup from any moment is put back: phones bring by themselves what it does not have."""

import random
import re
import shutil
import threading
import time

import pytest

from tests.faults.conftest import Field
from tests.faults.phone import Phone

pytestmark = pytest.mark.slow
BACK_WITHIN_S = 60


def backup_of(field: Field, folder) -> str:
    made = field.server.manage("backup", str(folder))
    assert made.returncode == 0, made.stderr
    return re.search(r"checked: (.+?) \(", made.stdout)[1]


def keep_on(phones: list[Phone], stop: threading.Event, most: int = 400) -> None:
    """Phones write and send until they are told to stop."""
    for _entry in range(most):
        if stop.is_set():
            return
        for phone in phones:
            phone.write()
            phone.push()


def restored(field: Field, folder, rng: random.Random) -> float:
    """A meet with a copy made while phones send, a server killed, the copy put back; seconds until all is back."""
    field.server.start()
    phones = [Phone(field.server.port, field.meet, field.ledger) for _phone in range(2)]
    for _entry in range(rng.randrange(1, 8)):
        phones[0].write()
        phones[0].push()
    stop = threading.Event()
    recording = threading.Thread(target=keep_on, args=(phones, stop))
    recording.start()
    time.sleep(rng.uniform(0, 0.5))
    copy = backup_of(field, folder)
    late = Phone(field.server.port, field.meet, field.ledger)
    for _entry in range(rng.randrange(1, 8)):
        late.write()
        late.push()
    stop.set()
    recording.join(60)
    assert late.answered
    assert not late.waiting
    late.write()  # one that no server has seen
    refused = field.server.manage("restore", copy)
    assert (refused.returncode, "Stop" in refused.stderr) == (2, True)
    field.server.kill()
    done = field.server.manage("restore", copy)
    assert done.returncode == 0, done.stderr
    missing = field.verdict(drained=False)
    assert set(late.ledger.acked) & set(missing.lost_acked), "the copy was made before the last entries"
    field.server.start()
    begun = time.monotonic()
    for phone in (*phones, late):
        phone.push([])  # it has nothing to send until it hears that the server is another one
        assert phone.drain(BACK_WITHIN_S)
    taken_s = time.monotonic() - begun
    assert field.verdict().wrong == {}
    assert taken_s < BACK_WITHIN_S
    return taken_s


@pytest.mark.parametrize("seed", range(3))
def test_everything_is_back_after_an_older_copy_was_put_in_place(sqlite_field, tmp_path, seed):
    restored(sqlite_field, tmp_path / "copies", random.Random(seed))


@pytest.mark.long_faults
@pytest.mark.parametrize("run", range(50))
def test_fifty_restores(sqlite_field, tmp_path, run, capsys):
    seed = random.SystemRandom().randrange(10**6)
    taken_s = restored(sqlite_field, tmp_path / "copies", random.Random(seed))
    with capsys.disabled():
        written = len(sqlite_field.ledger.written)
        print(f"\nrestore {run + 1}, seed {seed}: {written} entries, back after {taken_s:.1f} s")  # noqa: T201


def test_everything_is_back_without_a_new_life_as_well(sqlite_field, tmp_path):
    """A file put back by hand: the prefix that the server names is enough."""
    field = sqlite_field
    field.server.start()
    phone = Phone(field.server.port, field.meet, field.ledger)
    phone.write()
    assert phone.drain(BACK_WITHIN_S)
    copy = backup_of(field, tmp_path / "copies")
    for _entry in range(5):
        phone.write()
        assert phone.drain(BACK_WITHIN_S)
    field.server.kill()
    for journal in ("-wal", "-shm"):
        (tmp_path / f"meets.sqlite3{journal}").unlink(missing_ok=True)
    shutil.copyfile(copy, tmp_path / "meets.sqlite3")
    field.server.start()
    phone.write()
    assert phone.drain(BACK_WITHIN_S)
    assert field.verdict().wrong == {}
