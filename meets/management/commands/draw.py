"""`draw MEET [--seed N]`: draw every event of a meet that has not begun."""

from __future__ import annotations

from argparse import ArgumentParser
from random import Random
from typing import Any

from django.utils import timezone
from tqdm import tqdm

from meets.management.plain import PlainCommand
from meets.running.actions import DESK, LARGEST_SEED, Refusal, draw
from meets.running.reads import states_of
from scoring.state import Stage

NOT_BEGUN = (Stage.NOT_DRAWN, Stage.DRAWN)
SOMETHING_LEFT = 1


class Command(PlainCommand):
    help = (
        "Draws every event of a meet that has entries and has not begun; an event drawn before is drawn anew. "
        "Ends with 1 when there was nothing to draw, with 2 when the meet is not there."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("meet", metavar="MEET", help="the meet's short name, as in its addresses")
        parser.add_argument(
            "--seed", type=int, help="draw from this number, the same start lists again (default: by lot)"
        )

    def handle(self, *, meet: str, seed: int | None, **options: Any) -> None:
        found = states_of(self.meet_called(meet))
        seeds = None if seed is None else Random(seed)
        drawn = 0
        for now in tqdm(found, unit="event", desc="Drawing", disable=None):
            # One number a event, also for those left out: a seed gives an event the same list whatever has begun.
            own = None if seeds is None else seeds.randrange(LARGEST_SEED)
            if now.state.stage in NOT_BEGUN and now.entries:
                drawn += self.draw_one(now.event.pk, own)
        self.put(self.report(found))
        if not drawn:
            self.put("Nothing was drawn.")
            raise SystemExit(SOMETHING_LEFT)

    def draw_one(self, event_id: int, seed: int | None) -> int:
        try:
            draw(event_id=event_id, seed=seed, by="draw", recorder=DESK, now=timezone.now())
        except Refusal as problem:
            self.stderr.write(str(problem), style_func=str)
            return 0
        return 1

    def report(self, before: list) -> str:
        meet = before[0].event.meet if before else None
        lines = []
        for now in states_of(meet) if meet else []:
            sizes = " + ".join(str(len(flight)) for flight in now.state.flights)
            if now.state.stage not in NOT_BEGUN:
                lines.append(f"{now.event.name}: has begun, left as it is")
            elif not now.entries:
                lines.append(f"{now.event.name}: no entries")
            else:
                lines.append(f"{now.event.name}: flights of {sizes}, start list version {now.state.draw_version}")
        return "\n".join(lines) or "The meet has no events."
