"""`send_packs MEET`: packs that have changed are made, and everything that was not sent yet is sent."""

from __future__ import annotations

import time
from argparse import ArgumentParser
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.management.plain import PlainCommand
from meets.models import Mailing, Meet
from meets.publishing.packs.actions import make_packs, put_in_line
from meets.publishing.packs.reads import letters_of, since_packs
from meets.publishing.packs.sending import send_waiting

State = Mailing.State
PAUSE_S = 60


class Command(PlainCommand):
    help = (
        "Makes the packs of a meet that have changed, and mails what schools do not have yet: new packs, and those "
        "that failed before. What may have arrived is never sent again; the desk decides that. Ends with 1 if "
        "something was not sent."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("meet", metavar="MEET", help="the meet's short name, as in its addresses")
        parser.add_argument(
            "--retry", type=int, default=0, metavar="TIMES", help="try what fails so many times more, after a pause"
        )
        parser.add_argument(
            "--pause", type=int, default=PAUSE_S, metavar="SECONDS", help=f"between two rounds; {PAUSE_S} if not given"
        )

    def handle(self, *, meet: str, retry: int, pause: int, **options: Any) -> None:
        for option, value in (("--retry", retry), ("--pause", pause)):
            if value < 0:
                self.refuse(f"{option}: {value} is below zero; expected how many")
        found = self.meet_called(meet)
        made = make_packs(meet=found, now=timezone.now())
        count = len(made.new)
        self.put(ngettext("%(count)d new pack", "%(count)d new packs", count) % {"count": count})
        self._warn(found)
        put_in_line(meet=found, now=timezone.now())
        self._send(found)
        for _round in range(retry):
            if not self._failed(found):
                break
            time.sleep(pause)
            put_in_line(meet=found, now=timezone.now())
            self._send(found)
        raise SystemExit(self._left(found))

    def _warn(self, meet: Meet) -> None:
        """Packs are made from what is published, and team standings may be older than the results."""
        behind = since_packs(meet).behind
        if behind:
            says = _(
                "Team standings do not have the newest points of %(events)s: the packs give the old team place. "
                "Publish the standings at the desk, then give this command again."
            )
            self.put(says % {"events": ", ".join(behind)})

    def _send(self, meet: Meet) -> None:
        for tried in send_waiting(meet=meet, clock=timezone.now):
            self.put(f"{tried.mailing.pack.school}: {tried.outcome.says}")

    def _failed(self, meet: Meet) -> bool:
        return any(letter.state in (State.FAILED, State.WAITING) for letter in letters_of(meet, timezone.now()))

    def _left(self, meet: Meet) -> int:
        """Name every school that does not surely have its pack; 1 if a letter is to be sent again."""
        left = 0
        for letter in letters_of(meet, timezone.now()):
            if letter.state in (State.FAILED, State.WAITING):
                left = 1
            if letter.state in (State.UNSURE, State.SENDING, State.NO_ADDRESS, State.FAILED, State.WAITING):
                self.put(_("%(school)s: %(state)s") % {"school": letter.school, "state": State(letter.state).label})
        return left
