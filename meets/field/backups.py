"""Copies of the database, made while it is in use, and one of them put back in its place."""

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.core.management import call_command
from django.db import DEFAULT_DB_ALIAS, OperationalError, connections
from django.db.migrations.loader import MigrationLoader
from django.utils.translation import gettext as _

from meets.field.serving import nobody_serves
from meets.pit.sync.epochs import new_epoch
from meets.running.write_lock import one_writer

NAMED = "meets-"
SUFFIX = ".sqlite3"
WAIT_S = 2.0
COUNTED = {"meets": "meets_meet", "entries": "meets_entry", "rows of the log": "meets_logrow"}


class NotDone(Exception):
    """A backup that was not made or not put back; its text is a sentence, and everything is as it was."""


@dataclass(frozen=True, slots=True)
class Backup:
    """A copy whose content was checked."""

    path: Path
    bytes: int
    rows: dict[str, int]

    @property
    def says(self) -> str:
        counted = ", ".join(f"{count} {what}" for what, count in self.rows.items())
        return f"{self.path} ({self.bytes / 1e6:.1f} MB: {counted})"


@dataclass(frozen=True, slots=True)
class Restored:
    """What was put back; `aside`: the database that was there, None if there was none."""

    backup: Backup
    aside: Path | None
    aside_rows: dict[str, int]
    epoch: str


def database_file() -> Path | None:
    """The file of the database; None where it is no file."""
    connection = connections[DEFAULT_DB_ALIAS]
    if connection.vendor != "sqlite" or connection.is_in_memory_db():
        return None
    return Path(connection.settings_dict["NAME"])


def take_backup(*, folder: Path, keep: int, now: datetime) -> Backup:
    """A copy of the database as it is now, checked; the oldest beyond `keep` are removed. Raises NotDone."""
    source = database_file()
    if source is None or not source.exists():
        raise NotDone(_("There is no database file to copy."))
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{NAMED}{now:%Y-%m-%d-%H%M%S}{SUFFIX}"
    unfinished = path.with_suffix(".unfinished")
    unfinished.unlink(missing_ok=True)
    try:
        with closing(sqlite3.connect(source, timeout=WAIT_S)) as reading:
            reading.execute("VACUUM INTO ?", [str(unfinished)])
        unfinished.chmod(0o600)
        found = checked(unfinished)
        _sync(unfinished)
        unfinished.replace(path)
        _sync(folder)
    except (sqlite3.Error, OSError) as trouble:
        raise NotDone(_("No backup was made: %(why)s.") % {"why": trouble}) from trouble
    finally:
        unfinished.unlink(missing_ok=True)
    _forget_old(folder, keep)
    return Backup(path, found.bytes, found.rows)


def checked(path: Path) -> Backup:
    """What a copy holds. Raises NotDone if it is damaged or none of ours."""
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as reading:
            said = [text for (text,) in reading.execute("PRAGMA integrity_check(1)")]
            if said != ["ok"]:
                raise NotDone(_("%(file)s is damaged: %(how)s.") % {"file": path, "how": said[0]})
            return Backup(path, path.stat().st_size, _rows(reading))
    except (sqlite3.Error, OSError) as trouble:
        says = _("%(file)s is no backup of this product: %(why)s.")
        raise NotDone(says % {"file": path, "why": trouble}) from trouble


def restore(*, path: Path, now: datetime) -> Restored:
    """Put a copy in the place of the database, which is kept beside it. Raises NotDone.

    A new life of the database begins, so that phones send again what the copy does not have.
    """
    target = database_file()
    if target is None:
        raise NotDone(_("This database is no file; restore it with its own tools."))
    found = checked(path)
    _no_newer_than_this_program(path)
    connections.close_all()
    with _alone(target):
        aside_rows = _left_by_everybody(target) if target.exists() else {}
        aside = target.with_name(f"{target.stem}-before-restore-{now:%Y-%m-%d-%H%M%S}{target.suffix}")
        _put_in_place(path, target, aside)
        call_command("migrate", verbosity=0)
        epoch = new_epoch(now)
    return Restored(found, aside if aside.exists() else None, aside_rows, str(epoch))


@contextmanager
def _alone(target: Path) -> Iterator[None]:
    target.parent.mkdir(parents=True, exist_ok=True)
    stop = _("The meet is being served from this database. Stop that first (Ctrl-C there), then restore.")
    with nobody_serves() as free:
        if not free:
            raise NotDone(stop)
        try:
            with one_writer(WAIT_S):
                yield
        except OperationalError as held:
            raise NotDone(stop) from held


def _left_by_everybody(target: Path) -> dict[str, int]:
    """What the present database holds, made one file again. Raises NotDone while somebody has it open.

    To leave its journal SQLite needs the file for itself, which it does not get while others have it open.
    """
    try:
        with closing(sqlite3.connect(target, timeout=WAIT_S)) as own:
            rows = _rows(own)
            (mode,) = own.execute("PRAGMA journal_mode=DELETE").fetchone()
    except sqlite3.OperationalError as trouble:
        if "locked" not in str(trouble) and "busy" not in str(trouble):
            return {}
        mode = "wal"
    except sqlite3.DatabaseError:
        return {}  # damaged, which may be why it is replaced
    if mode == "wal":
        raise NotDone(_("Another program has the database open. Stop the server first, then restore."))
    return rows


def _put_in_place(path: Path, target: Path, aside: Path) -> None:
    """At every moment there is a whole database under the name; a journal never meets a file that is not its own."""
    fresh = target.with_suffix(".restoring")
    shutil.copyfile(path, fresh)
    fresh.chmod(0o600)
    _sync(fresh)
    if target.exists():
        try:
            os.link(target, aside)
        except OSError:  # a disk without links
            shutil.copyfile(target, aside)
    for journal in ("-wal", "-shm"):
        left = target.with_name(target.name + journal)
        if left.exists():
            left.replace(aside.with_name(aside.name + journal))
    fresh.replace(target)
    _sync(target.parent)


def _no_newer_than_this_program(path: Path) -> None:
    known = MigrationLoader(None, ignore_no_migrations=True).disk_migrations
    ours = {app for app, _name in known}
    with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as reading:
        applied = set(reading.execute("SELECT app, name FROM django_migrations"))
    newer = sorted(name for app, name in applied if app in ours and (app, name) not in known)
    if newer:
        says = _("%(file)s was made by a newer version of this program (%(what)s). Restore it with that one.")
        raise NotDone(says % {"file": path, "what": newer[0]})


def _rows(reading: sqlite3.Connection) -> dict[str, int]:
    return {
        what: reading.execute(f"SELECT count(*) FROM {table}").fetchone()[0]  # (names from the list above)
        for what, table in COUNTED.items()
    }


def _forget_old(folder: Path, keep: int) -> None:
    for old in sorted(folder.glob(f"{NAMED}*{SUFFIX}"))[:-keep]:
        old.unlink(missing_ok=True)


def _sync(path: Path) -> None:
    """On the disk and not only on the way there; Windows cannot do that for a folder."""
    if path.is_dir() and os.name == "nt":
        return
    descriptor = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
