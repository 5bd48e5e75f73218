"""SQLite's journal (write-ahead log) is put into the database file by one place only, with all writers held off.

Left to itself every connection does that when it pleases. SQLite before 3.51.3 can lose what was just written when
another starts the journal anew at the same moment (see `meets.checks`). A checkpoint of the kind TRUNCATE holds
SQLite's own right to write from beginning to end, and the queue of writers is held besides.
"""

import logging
import sqlite3
import threading
import time
from functools import cache
from pathlib import Path

from django.db import DEFAULT_DB_ALIAS, DatabaseError, connections

from meets.running.write_lock import one_writer

log = logging.getLogger(__name__)

# Whoever writes waits meanwhile, so it is done seldom: about once in 2,000 entries that come one at a time.
LONG_BYTES = 64 * 1024 * 1024
LONGEST_WAIT_S, AGAIN_AFTER_S = 0.25, 2.0
_tried = threading.Lock()
_next_try = 0.0


def journal_file() -> Path | None:
    """Where the journal lies; None on PostgreSQL and in memory."""
    connection = connections[DEFAULT_DB_ALIAS]
    if connection.vendor != "sqlite" or connection.is_in_memory_db():
        return None
    return _journal_of(connection.settings_dict["NAME"])


@cache  # asked for after every request
def _journal_of(database: str | Path) -> Path:
    return Path(f"{database}-wal")


def journal_bytes() -> int:
    path = journal_file()
    try:
        return path.stat().st_size if path else 0
    except FileNotFoundError:
        return 0


def checkpoint(longest_wait_s: float = LONGEST_WAIT_S) -> bool:
    """Put the journal into the database and make it empty. False when somebody was reading: nothing is lost, try later.

    With a connection of its own, whose short patience does not change that of the others.
    """
    path = journal_file()
    if path is None or not path.exists():
        return True
    with one_writer(longest_wait_s):
        own = sqlite3.connect(str(path)[: -len("-wal")], timeout=longest_wait_s, isolation_level=None)
        try:
            own.execute("PRAGMA synchronous=FULL")
            busy, _frames, _moved = own.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        finally:
            own.close()
    return not busy


def checkpoint_when_long(**of_signal: object) -> None:
    """After a request has been answered: a look at the size of a file, and a checkpoint if it has grown."""
    global _next_try
    if journal_bytes() < LONG_BYTES or time.monotonic() < _next_try or not _tried.acquire(blocking=False):
        return
    try:
        _next_try = time.monotonic() + AGAIN_AFTER_S
        if not checkpoint():
            log.info("the journal has %d bytes; somebody was reading", journal_bytes())
    except (DatabaseError, sqlite3.Error) as trouble:
        log.warning("the journal could not be put into the database: %s", type(trouble).__name__)
    finally:
        _tried.release()
