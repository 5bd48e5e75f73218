"""`serve_field`: a meet served from a laptop at the field, for phones in the same network."""

import os
import signal
import socket
import subprocess
import time
from contextlib import ExitStack
from pathlib import Path
from textwrap import fill

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.db import DatabaseError, connections
from django.urls import reverse
from django.utils import timezone

from meets.field import hints, terminal
from meets.field.certificates import Kept, keep_certificates
from meets.field.disk import RESERVE_MB, keep_reserve
from meets.field.looking_after import BACKUP_EVERY_S, Watch
from meets.field.plan import LOOPBACK, NotServed, Plan, plan_of
from meets.field.serving import nobody_serves
from meets.field.trust import trust_pages
from meets.management.plain import PlainCommand

WIDTH = 96
STARTS_WITHIN_S = 30


class Command(PlainCommand):
    help = "Serve the meets of this laptop to phones in the same network, by HTTPS."

    def add_arguments(self, parser):
        parser.add_argument(
            "--plain", action="store_true", help="plain HTTP: nothing to install on phones, but less safe"
        )
        parser.add_argument(
            "--port",
            type=int,
            help="port (default: 8443, plain 8000); the page with the certificate then has the next one",
        )
        parser.add_argument(
            "--address", help="which address or name of this computer phones use (default: the likeliest)"
        )

    def handle(self, *, plain: bool, port: int | None, address: str | None, **options):
        with ExitStack() as stack:
            if not stack.enter_context(nobody_serves()):
                self.refuse("The meet is being served from this folder of data already; stop that first with Ctrl-C")
            try:
                plan = plan_of(plain=plain, port=port, address=address)
            except NotServed as problem:
                self.refuse(str(problem))
            self._ready_database()
            data = Path(settings.DATA_DIR)
            field = data / "field"
            field.mkdir(parents=True, exist_ok=True)
            kept = None
            if not plain:
                phone_page = f"{plan.meet}{reverse('pit:phone')}"
                kept = keep_certificates(field / "certificates", plan.names, plan.binds, timezone.now())
                stack.enter_context(trust_pages(kept, list(plan.binds), plan.trust_port, plan.trust, phone_page))
            reserve = keep_reserve(data)
            watch = self._started(stack, plan, kept, data)
            watch.look()
            self._say_all(plan, kept, watch.folder, hints.moved_hint(field, plan.meet), reserve)
            self._until_stopped(watch)

    def _ready_database(self) -> None:
        try:
            call_command("migrate", verbosity=0, skip_checks=True)
        except DatabaseError as problem:
            self.refuse(f"the database cannot be used ({problem}); expected one that can be read and written")
        self.has_account = get_user_model().objects.filter(is_active=True).exists()
        connections.close_all()

    def _started(self, stack: ExitStack, plan: Plan, kept: Kept | None, data: Path) -> Watch:
        signal.signal(signal.SIGTERM, lambda *_about: signal.raise_signal(signal.SIGINT))
        line = plan.command(kept and kept.server_certificate, kept and kept.server_key)
        server = subprocess.Popen(
            line,
            cwd=settings.BASE_DIR,
            env={**os.environ, **plan.environment()},
            start_new_session=True,  # Ctrl-C is for this command, which then ends the server in good order
        )
        watch = Watch(server, data, data / "backups", self._say)
        stack.callback(watch.stop)
        end = time.monotonic() + STARTS_WITHIN_S
        while not _answers(plan):
            if server.poll() is not None or time.monotonic() > end:
                self.refuse("the server did not start; what it said stands above")
            time.sleep(0.1)
        return watch

    def _until_stopped(self, watch: Watch) -> None:
        try:
            code = watch.until_it_ends()
        except KeyboardInterrupt:
            self.put("\nStopping: what is being saved is saved first.")
            watch.stop()
            watch.back_up()
            self.put("Stopped. Phones keep what they have not sent, and send it when this command runs again.")
            return
        self.refuse(
            f"the server ended by itself (code {code}); start this command again, and go on on paper until then"
        )

    def _say(self, text: str) -> None:
        self.put(f"{timezone.localtime():%H:%M}  {fill(text, WIDTH, subsequent_indent='       ')}")

    def _say_all(self, plan: Plan, kept: Kept | None, backups: Path, moved: str, reserve: bool) -> None:
        self.put(f"\nThe meet is served.\n\n  On this computer:  {plan.meet}/")
        if plan.host not in (LOOPBACK, "localhost"):
            self.put(f"  Other devices:     {plan.meet}/   (they must be in the same network)")
        for other in [one.text for one in plan.found if one.text != plan.host]:
            self.put(f"  It also has the address {other}; if phones are in that network: --address {other}")
        if kept is not None:
            self.put(f"  Phones go first to {plan.trust}   (once: to trust this laptop; scan this)")
            self.put(f"\n{terminal.drawn(terminal.modules(plan.trust))}\n")
            pairs = kept.fingerprint.split(":")
            self.put("  Fingerprint of the certificate, the same as on that page:")
            for at in range(0, len(pairs), 16):
                self.put(f"    {' '.join(pairs[at : at + 16])}")
        else:
            self.put(f"\n{terminal.drawn(terminal.modules(plan.meet + '/'))}\n")
        account = "Sign in with the organiser's account."
        if not self.has_account:
            account = "There is no account yet: in another window, manage.py createsuperuser, then sign in with it."
        self.put(f"  {account}")
        self.put(f"  Codes for phones: at the desk, in the meet. They lead to {plan.meet}{reverse('pit:phone')}")
        paragraphs = [*hints.laptop_hints(plan.port), hints.sqlite_hint(), moved]
        if plan.plain:
            paragraphs = [*hints.plain_lacks(), *paragraphs]
        if not reserve:
            paragraphs.append(f"The disk has no room for a reserve of {RESERVE_MB} MB: delete something large.")
        self.put("")
        for paragraph in filter(None, paragraphs):
            self.put(fill(paragraph, WIDTH, initial_indent="- ", subsequent_indent="  "))
        if connections["default"].vendor == "sqlite":
            every = f"every {BACKUP_EVERY_S // 60} minutes"
            self.put(f"\n  Backups: one now and {every} in {backups}\n  (put back with manage.py restore FILE)")
        else:
            self.put("\n  Backups: PostgreSQL makes its own; manage.py backup says how.")
        self.put("  Stop with Ctrl-C.\n")


def _answers(plan: Plan) -> bool:
    with socket.socket() as door:
        door.settimeout(1)
        return door.connect_ex((plan.binds[-1], plan.port)) == 0
