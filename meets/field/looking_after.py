"""What is looked after while a meet is served: backups, room on the disk, and whether the server still runs."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from subprocess import Popen

from django.utils import timezone
from django.utils.translation import gettext as _

from meets.field.backups import NotDone, database_file, take_backup
from meets.field.disk import disk_alarm, free_mb, give_up_reserve

BACKUP_EVERY_S, LOOK_EVERY_S = 600, 5
KEEP = 24  # four hours
STOP_S = 15


@dataclass
class Watch:
    """`say` tells whoever looks after the laptop; `folder`: where backups go."""

    server: Popen
    data: Path
    folder: Path
    say: Callable[[str], None]
    backup_every_s: float = BACKUP_EVERY_S
    look_every_s: float = LOOK_EVERY_S
    _next_backup: float = field(default=0.0, init=False)
    _alarm: str = field(default="", init=False)

    def until_it_ends(self) -> int:
        """Look after everything until the server ends by itself; its exit code."""
        while self.server.poll() is None:
            self.look()
            end = time.monotonic() + self.look_every_s
            while time.monotonic() < end and self.server.poll() is None:
                time.sleep(0.2)
        return self.server.returncode

    def look(self) -> None:
        """One round."""
        if says := give_up_reserve(self.data):
            self.say(says)
        alarm = disk_alarm()
        if alarm and not self._alarm:
            self.say(alarm)
        self._alarm = alarm
        if time.monotonic() >= self._next_backup:
            self._next_backup = time.monotonic() + self.backup_every_s
            self.back_up()

    def back_up(self) -> None:
        source = database_file()
        if source is None:
            return
        if free_mb(self.data) < 3 * source.stat().st_size // 1_000_000 + 100:
            self.say(_("No backup was made: there is too little room on the disk."))
            return
        try:
            take_backup(folder=self.folder, keep=KEEP, now=timezone.localtime())
        except NotDone as trouble:
            self.say(str(trouble))

    def stop(self) -> None:
        """Let requests that are being answered end, then the server."""
        if self.server.poll() is not None:
            return
        self.server.terminate()
        try:
            self.server.wait(STOP_S)
        except Exception:
            self.server.kill()
            self.server.wait()
