"""One writer at a time on SQLite: whoever writes queues here, instead of polling inside the database.

SQLite makes writers that meet sleep and try again; under load some of them wait ten times as long as others.
"""

import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

from django.db import OperationalError, connection

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None

LONGEST_WAIT_S = 10
# Who looks seldom comes last: whoever has just written asks again before. After a while the other one writes long.
SHORT_SLEEP_S, LONG_SLEEP_S, LONG_S = 0.0002, 0.002, 0.1
_threads = threading.Lock()
_held = threading.local()


@contextmanager
def one_writer(longest_wait_s: float = LONGEST_WAIT_S) -> Iterator[None]:
    """Hold the right to write; taken before a transaction begins. May be taken again by whoever holds it.

    Does nothing on PostgreSQL, which locks rows, and on SQLite in memory, which has one connection.
    Raises OperationalError when others hold it for too long.
    """
    path = _path()
    if path is None or getattr(_held, "depth", 0):
        with _counted():
            yield
        return
    until = time.monotonic() + longest_wait_s
    if not _threads.acquire(timeout=longest_wait_s):
        raise OperationalError("another thread holds the right to write")
    try:
        with _locked_file(path, until), _counted():
            yield
    finally:
        _threads.release()


def _path() -> Path | None:
    if connection.vendor != "sqlite" or connection.is_in_memory_db():
        return None
    return _beside(connection.settings_dict["NAME"])


@cache  # asked for at every write
def _beside(database: str | Path) -> Path:
    return Path(database).with_name("write.lock")


@contextmanager
def _counted() -> Iterator[None]:
    _held.depth = getattr(_held, "depth", 0) + 1
    try:
        yield
    finally:
        _held.depth -= 1


@contextmanager
def _locked_file(path: Path, until: float) -> Iterator[None]:
    if fcntl is None:
        with _locked_on_windows(path, until):
            yield
        return
    descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        begun = time.monotonic()
        while not _got(descriptor):
            now = time.monotonic()
            if now > until:
                raise OperationalError("another process holds the right to write")
            time.sleep(SHORT_SLEEP_S if now - begun < LONG_S else LONG_SLEEP_S)
        yield
    finally:
        os.close(descriptor)  # which gives the lock back, as the end of the process does


def _got(descriptor: int) -> bool:
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


@contextmanager
def _locked_on_windows(path: Path, until: float) -> Iterator[None]:
    from filelock import FileLock, Timeout

    lock = FileLock(path, timeout=max(until - time.monotonic(), 0), poll_interval=LONG_SLEEP_S)
    try:
        lock.acquire()
    except Timeout as problem:
        raise OperationalError("another process holds the right to write") from problem
    try:
        yield
    finally:
        lock.release()
