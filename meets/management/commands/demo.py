"""`demo`: an invented district meet, built, played, printed and served on this machine."""

import logging
import os
import socket
import sys
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from random import SystemRandom
from textwrap import fill

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse
from django.utils import timezone
from tqdm import tqdm

from meets.checks import sqlite_loses_nothing
from meets.demo.actions import ACCOUNT, Built, build, practice_key, ready_account, sheets
from meets.demo.people import SCHOOLS
from meets.demo.publishing import pack_day, publish_day
from meets.models import Meet

FIRST_PORT, PORTS = 8000, 20
LARGEST_SEED = 1_000_000
WIDTH = 100


class Command(BaseCommand):
    help = "Build an invented district meet, play its day, write its sheets, and serve it on this machine."

    def add_arguments(self, parser):
        parser.add_argument("--seed", type=int, help="random seed of the day (default: a new one, printed)")
        parser.add_argument("--date", help="day of the meet, year-month-day (default: today)")
        parser.add_argument("--no-serve", action="store_true", help="end after the sheets")
        parser.add_argument("--again", action="store_true", help="play a new day although one is there")
        parser.add_argument("--port", type=int, help="port to serve on (default: the first free from 8000)")

    def handle(self, *, seed, date: str | None, no_serve, again, port, **options):
        on = _date(date)
        call_command("migrate", verbosity=0)
        port = port or _free_port()
        if again or not Meet.objects.exists():
            self._build(SystemRandom().randrange(LARGEST_SEED) if seed is None else seed, on, port)
        else:
            self.stdout.write("The meets of an earlier run are still there (--again plays another day).")
        self._what_this_computer_lacks()
        password = ready_account()
        self._how_to_go_on(port, password, serving=not no_serve)
        if not no_serve:
            self.stdout.flush()
            logging.getLogger("django.server").setLevel(logging.WARNING)
            with Path(os.devnull).open("w") as quiet:  # what to open stays the last thing on the screen
                call_command("runserver", f"127.0.0.1:{port}", use_reloader=False, stdout=quiet)

    def _what_this_computer_lacks(self) -> None:
        for found in sqlite_loses_nothing(databases=["default"]):
            for says in (f"Before you run a real meet on this computer: {found.msg}", found.hint):
                self.stdout.write("\n" + fill(says, width=WIDTH))

    def _build(self, seed: int, on: date, port: int) -> None:
        out_dir = Path(settings.DATA_DIR) / "demo"
        bar = tqdm(total=0, desc="Playing the day", unit=" trials")

        def start(total: int):
            bar.reset(total=total)
            return bar.update

        built = build(seed=seed, on=on, out_dir=out_dir, now=timezone.now(), start=start)
        bar.total = bar.n
        bar.close()
        folder = out_dir / built.meet.slug / "sheets"
        written = self._sheets(built, folder)
        versions = self._with_bar("Publishing     ", "versions", publish_day, built.meet, port)
        packs = self._with_bar("Packing        ", "packs", pack_day, built.meet, port)
        events = built.meet.events.count()
        self.stdout.write(
            f"{built.meet.name}: {len(SCHOOLS)} schools, {events} events, {built.entries} entries, "
            f"{built.trials} trials (seed {built.seed})."
        )
        self.stdout.write(f"Entry file:  {built.entry_file}\nSheets:      {len(written)} files in {folder}")
        self.stdout.write(
            f"Published:   {versions} versions of results; one of them is amended; packs for {packs} schools"
        )

    def _sheets(self, built: Built, folder: Path) -> list[Path]:
        with tqdm(total=1, desc="Writing sheets ", unit=" files") as bar:

            def progress(done: int, total: int) -> None:
                bar.total = total
                bar.update(done - bar.n)

            return sheets(meet=built.meet, out_dir=folder, now=timezone.now(), progress=progress)

    def _with_bar(self, what: str, unit: str, does: Callable[..., int], meet: Meet, port: int) -> int:
        with tqdm(total=1, desc=what, unit=f" {unit}") as bar:

            def progress(done: int, total: int) -> None:
                bar.total = total
                bar.update(done - bar.n)

            return does(meet=meet, base=_address(port), progress=progress)

    def _how_to_go_on(self, port: int, password: str, *, serving: bool) -> None:
        address = _address(port)
        account = f"Sign in as:  {ACCOUNT}\nPassword:    {password}"
        if not serving:
            self.stdout.write(f"\nTo look at it:  {_python()} manage.py demo\n{account}")
            return
        self.stdout.write(f"\nOpen this in a browser on this computer:  {address}{reverse('desk:meets')}\n{account}")
        self.stdout.write(
            f"\nThe district jumps are over: look at places and sheets. The practice afternoon is drawn\n"
            f"and nobody has jumped: record its trials at  {address}{reverse('pit:sessions')}"
        )
        if public := Meet.objects.filter(is_public=True, publications__isnull=False).order_by("-pk").first():
            self.stdout.write(
                f"Results as everybody sees them:  {address}{reverse('results:meet', args=[public.slug])}"
            )
        if (secret := practice_key(timezone.now())) is not None:
            self.stdout.write(f"Phone for the pit: {address}{reverse('pit:phone')}#k={secret}")
        self.stdout.write("Stop with Ctrl-C. The password is a new one at every start.")


def _date(text: str | None) -> date:
    if text is None:
        return timezone.localdate()
    try:
        return datetime.strptime(text, "%Y-%m-%d").date()
    except ValueError as problem:
        raise CommandError(
            f"--date {text}: expected year-month-day, for example 2027-06-12.", returncode=2
        ) from problem


def _address(port: int) -> str:
    return f"http://127.0.0.1:{port}"


def _free_port() -> int:
    for port in range(FIRST_PORT, FIRST_PORT + PORTS):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)):
                return port
    raise CommandError(
        f"No port from {FIRST_PORT} to {FIRST_PORT + PORTS - 1} is free; choose one with --port.", returncode=2
    )


def _python() -> str:
    """How to start this Python from here; in full where it lies on another drive."""
    try:
        return os.path.relpath(sys.executable)
    except ValueError:
        return sys.executable
