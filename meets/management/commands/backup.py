"""`backup`: a checked copy of the database, made while it is in use."""

from pathlib import Path

from django.conf import settings
from django.db import connection
from django.utils import timezone

from meets.field.backups import NotDone, take_backup
from meets.management.plain import PlainCommand

KEEP = 20


class Command(PlainCommand):
    help = "Copy the database into a folder while it is in use, and check the copy."

    def add_arguments(self, parser):
        parser.add_argument("dir", metavar="DIR", help="folder for the copy; best on another disk")
        parser.add_argument("--keep", type=int, default=KEEP, help="how many copies stay there (default: %(default)s)")

    def handle(self, *, dir: str, keep: int, **options):
        if keep < 1:
            self.refuse(f"--keep {keep}: expected 1 or more")
        if connection.vendor == "postgresql":
            name = connection.settings_dict["NAME"]
            self.refuse(
                "PostgreSQL makes its own backups: pg_dump --format=custom --file="
                f"{Path(dir) / (name + '.dump')} {name}   (put back with pg_restore --clean, then "
                "manage.py restore --already-restored)"
            )
        try:
            made = take_backup(folder=Path(dir), keep=keep, now=timezone.localtime())
        except NotDone as trouble:
            self.refuse(str(trouble))
        self.put(f"Backup made and checked: {made.says}")
        kept_key = Path(settings.DATA_DIR) / "secret_key"
        if kept_key.exists():
            self.put(
                f"For another computer take {kept_key} along as well: with it, phones that are in stay in. "
                "Whoever has both can read names and years of birth; keep them as you keep the entry forms."
            )
