"""Who serves the meet: one server at a time, known by a lock that ends with its process."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from filelock import FileLock, Timeout


@contextmanager
def nobody_serves() -> Iterator[bool]:
    """True while nobody else serves from this folder of data; held until the block ends."""
    folder = Path(settings.DATA_DIR)
    folder.mkdir(parents=True, exist_ok=True)
    lock = FileLock(folder / "serving.lock", timeout=0)
    try:
        lock.acquire()
    except Timeout:
        yield False
        return
    try:
        yield True
    finally:
        lock.release()
