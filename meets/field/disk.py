"""Room on the disk: a reserve that is given up when it is full, and a sentence for the desk before that."""

import os
import shutil
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _

MB = 1_000_000
LOW_MB, FULL_MB, RESERVE_MB = 500, 8, 64
RESERVE_FILE = "reserve"


def free_mb(folder: Path | None = None) -> int:
    """Free room where the data lie."""
    return shutil.disk_usage(folder or settings.DATA_DIR).free // MB


def disk_alarm() -> str:
    """A sentence when the disk is nearly full, '' while there is room."""
    free = free_mb()
    if free >= LOW_MB:
        return ""
    if free < FULL_MB:
        return _(
            "The disk of this computer is full (%(free)d MB free): nothing more can be stored. Phones keep what they "
            "have and send it again. Delete something large, now."
        ) % {"free": free}
    return _(
        "The disk of this computer has only %(free)d MB free. Delete something large before it is full: then nothing "
        "more can be stored, and phones keep what they have until there is room."
    ) % {"free": free}


def keep_reserve(folder: Path, size_mb: int = RESERVE_MB) -> bool:
    """Fill a file that can be given up later. False where there is no room for it, and then it is not there."""
    path = folder / RESERVE_FILE
    if path.exists() and path.stat().st_size >= size_mb * MB:
        return True
    if free_mb(folder) < 2 * size_mb:
        path.unlink(missing_ok=True)
        return False
    block = os.urandom(MB)  # a file of zeros takes no room on some disks
    with path.open("wb") as opened:
        for _number in range(size_mb):
            opened.write(block)
        opened.flush()
        os.fsync(opened.fileno())
    return True


def give_up_reserve(folder: Path) -> str:
    """Free the reserve if the disk is full; a sentence for whoever looks after the laptop, '' if nothing was done."""
    path = folder / RESERVE_FILE
    if free_mb(folder) >= FULL_MB or not path.exists():
        return ""
    size_mb = path.stat().st_size // MB
    path.unlink()
    return _(
        "The disk is full. A reserve of %(size)d MB was given up, so that recording goes on. Delete something large "
        "now: there is no second reserve."
    ) % {"size": size_mb}
