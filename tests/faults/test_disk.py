"""A full disk: pushes are not answered, nothing is lost, and it goes on when there is room."""

import os
import subprocess
from pathlib import Path

import pytest

from meets.field import disk
from tests.faults.conftest import SQLITE, field_on
from tests.faults.phone import Phone

pytestmark = pytest.mark.slow


@pytest.fixture
def small_disk(tmp_path):
    """A function that makes a small disk of its own and gives its folder; needs root."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("only root can make a small disk of its own")
    mounted = []

    def make(size_mb: int) -> Path:
        folder = tmp_path / f"disk{len(mounted)}"
        folder.mkdir()
        ran = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", f"size={size_mb}m", "tmpfs", str(folder)], capture_output=True, text=True
        )
        if ran.returncode:
            pytest.skip(f"this machine lets nobody make a disk: {ran.stderr.strip()}")
        mounted.append(folder)
        return folder

    yield make
    for folder in mounted:
        subprocess.run(["umount", "-l", str(folder)], check=False)


def fill(folder: Path) -> Path:
    file = folder / "something large"
    with file.open("wb", buffering=0) as opened:
        for block in (1024 * 1024, 4096, 1):
            try:
                for _block in range(1024 * 1024):
                    opened.write(b"x" * block)
            except OSError:
                continue
    return file


def test_a_full_disk_answers_nothing_and_loses_nothing(request, small_disk):
    folder = small_disk(8)
    field = field_on(SQLITE, folder, request)
    field.server.log = folder.parent / "server.log"
    field.server.start()
    try:
        phone = Phone(field.server.port, field.meet, field.ledger)
        phone.write()
        assert phone.drain(30)
        large = fill(folder)
        for _entry in range(30):
            phone.write()
        batch = {"device": phone.device, "epoch": phone.epoch, "max_seq": 31, "server_epoch": phone.server_epoch}
        said = {**batch, "entries": phone.waiting}
        status, kind, body = phone._post("/sync/v1/push", said, {"Authorization": f"Bearer {phone.token}"})
        assert (status, kind) == (503, "application/problem+json")
        assert b"results" not in body
        assert not phone.push()
        found = field.verdict(drained=False, still_on_phones=[entry["id"] for entry in phone.waiting])
        assert found.wrong == {}
        large.unlink()
        assert phone.drain(30)
        assert field.verdict().wrong == {}
    finally:
        field.server.kill()


def test_the_reserve_is_given_up_when_the_disk_is_full(small_disk):
    folder = small_disk(40)
    assert disk.keep_reserve(folder, size_mb=12)
    assert disk.keep_reserve(folder, size_mb=12)
    assert disk.give_up_reserve(folder) == ""
    assert (folder / disk.RESERVE_FILE).exists()
    fill(folder)
    assert disk.give_up_reserve(folder).startswith("The disk is full. A reserve of 12 MB was given up")
    assert disk.free_mb(folder) >= 12
    assert disk.give_up_reserve(folder) == ""


def test_no_reserve_where_there_is_no_room_for_it(small_disk):
    folder = small_disk(40)
    assert not disk.keep_reserve(folder, size_mb=30)
    assert not (folder / disk.RESERVE_FILE).exists()


def test_the_desk_is_told_before_the_disk_is_full(small_disk, settings):
    settings.DATA_DIR = small_disk(40)
    assert disk.disk_alarm().startswith("The disk of this computer has only 41 MB free")
    fill(settings.DATA_DIR)
    assert disk.disk_alarm().startswith("The disk of this computer is full (0 MB free)")
