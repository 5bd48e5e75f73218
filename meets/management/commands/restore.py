"""`restore`: a backup put in the place of the database; phones bring what it does not have."""

from pathlib import Path

from django.db import DatabaseError, connection
from django.utils import timezone

from meets.field.backups import NotDone, restore
from meets.management.plain import PlainCommand
from meets.pit.sync.epochs import new_epoch

PHONES = (
    "Phones that still hold entries send them again by themselves, as soon as they reach the server: nobody has to do "
    "anything. What was typed at the desk after the backup was made is not in it and has to be typed again."
)


class Command(PlainCommand):
    help = "Put a backup in the place of the database. What was there is kept beside it."

    def add_arguments(self, parser):
        parser.add_argument("file", nargs="?", metavar="FILE", help="a copy that `backup` or `serve_field` made")
        parser.add_argument(
            "--already-restored",
            action="store_true",
            help="the database was put back by its own tools (PostgreSQL): only let phones send again",
        )

    def handle(self, *, file: str | None, already_restored: bool, **options):
        now = timezone.localtime()
        if already_restored == bool(file):
            self.refuse("expected the FILE of a backup, or --already-restored, and not both")
        if already_restored:
            self._only_a_new_epoch(now)
            return
        if connection.vendor != "sqlite":
            self.refuse(
                "PostgreSQL is restored with pg_restore --clean; after that: manage.py restore --already-restored"
            )
        try:
            done = restore(path=Path(file), now=now)
        except NotDone as trouble:
            self.refuse(str(trouble))
        self.put(f"In place now: {done.backup.says}")
        if done.aside is not None:
            counted = ", ".join(f"{count} {what}" for what, count in done.aside_rows.items()) or "it could not be read"
            self.put(f"What was there before is kept: {done.aside} ({counted})")
        self.put(f"{PHONES}\nStart the server again.")

    def _only_a_new_epoch(self, now) -> None:
        try:
            new_epoch(now)
        except DatabaseError as problem:
            self.refuse(f"the database cannot be written ({problem}); expected a restored one that is running")
        self.put(PHONES)
