"""From the last trial of a meet of 10 events, 180 athletes and 9 schools to all nine packs written.

Nine events were published as they ended; beside it, all ten published in one press at the end of the day.

The floor draws the same pages with bare ReportLab tables from strings that are ready. A meet ends once, so it is
measured once; seconds by the clock for people who wait, of the processor for the ratio, which other work on the machine
would blur.
"""

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import NamedTuple

from tests.bench.clock import SMOKE, say

ON, NOW = date(2027, 6, 12), datetime(2027, 6, 12, 8, 0, tzinfo=UTC)
LIMIT_S, LIMIT_RATIO = 20, 2
EARLIER, PACKS = "nine results published before", "nine packs made and stored"
BY = {"by": "R. Corder", "recorder": "pit"}


class Seconds(NamedTuple):
    """By the clock, and of the processor in this process."""

    clock: float
    processor: float

    @classmethod
    def now(cls) -> "Seconds":
        return cls(time.perf_counter(), time.process_time())

    def __add__(self, other: "Seconds") -> "Seconds":
        return Seconds(self.clock + other.clock, self.processor + other.processor)

    def __sub__(self, other: "Seconds") -> "Seconds":
        return Seconds(self.clock - other.clock, self.processor - other.processor)


def meet_before_its_last_trial(folder: Path):
    """A demonstration day with the last trial, and all after it, taken out of the log of its event."""
    from django.db import connection

    from meets.demo.actions import build
    from meets.models import LogRow
    from tests.conftest import lift_guard

    meet = build(seed=3, on=ON, out_dir=folder, now=NOW, start=lambda total: lambda step: None).meet
    last = LogRow.objects.filter(event__meet=meet, kind="jumped").select_related("event").latest("at", "rev")
    lift_guard(connection)
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM meets_logrow WHERE event_id = %s AND rev >= %s", [last.event_id, last.rev])
    return meet, last.event, last.at


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        os.environ |= {
            "DATABASE_URL": f"sqlite:///{name}/packs.sqlite3",
            "DJANGO_SETTINGS_MODULE": "meets.settings",
            "NEAREST_BREAK_DATA": name,
        }
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        measure(Path(name))


def measure(folder: Path) -> None:
    from athletes.paper.fonts import use_fonts
    from meets.models import SchoolPack
    from meets.publishing.actions import publish, publish_meet, publish_standings
    from meets.publishing.packs.actions import make_packs
    from meets.running import actions
    from meets.running.reads import state_of

    use_fonts()
    meet, event, at = meet_before_its_last_trial(folder)
    taken: dict[str, Seconds] = {}
    step = Seconds.now()

    def lap(what: str) -> None:
        nonlocal step
        now = Seconds.now()
        taken[what], step = now - step, now

    published = sum(one.publication is not None for one in publish_meet(meet, by="O. Rganiser", now=at))
    assert published == 9
    lap(EARLIER)
    up = state_of(event).callable[0].turn
    actions.record_trial(event_id=event.pk, turn=up, trial="3.50", wind="+0.4", answered=True, now=at, **BY)
    actions.close(event_id=event.pk, now=at, **{**BY, "recorder": "desk"})
    lap("last trial and signed sheet")
    publish(event, status="provisional", by="O. Rganiser", now=at)
    lap("its result published with PDF and CSV")
    publish_standings(meet, by="O. Rganiser", now=at)
    lap("team standings published")
    made = make_packs(meet=meet, now=at)
    lap(PACKS)
    assert SchoolPack.objects.filter(meet=meet).count() == len(made.new) == 9
    compare(meet, taken)


def compare(meet, taken: dict[str, Seconds]) -> None:
    """Against the same words drawn by bare ReportLab, with the same number of athletes on the pages."""
    import json

    from meets.models import Entry, SchoolPack
    from meets.publishing.packs.build import Drawing
    from meets.publishing.packs.reads import documents_of
    from tests.bench.floor_packs import bare_packs, cells_of, result_cells
    from tests.meets.sheets.reading import words

    rows = list(SchoolPack.objects.filter(meet=meet))
    drawing = Drawing(meet, documents_of(rows))
    ready = [cells_of(drawing.sheet(json.loads(row.document))) for row in rows]
    bare = bare_packs(ready)
    for row, floor, cells in zip(rows, bare, ready, strict=True):
        own_words, floor_words = words(bytes(row.pdf)), words(floor)
        names = [line[2].split("\n")[0] for line in cells[0] if line[1]]
        assert all(name in text for name in names for text in (own_words, floor_words))
    sheets = [[result_cells(one)] for one in drawing.sheet(json.loads(rows[0].document)).results]
    floor_s = statistics.median(processor_s(lambda: bare_packs(ready)) for _ in range(1 if SMOKE else 5))
    with_sheets_s = floor_s + statistics.median(
        processor_s(lambda: bare_packs(sheets)) for _ in range(1 if SMOKE else 5)
    )
    for what, seconds in taken.items():
        say(f"  {what}", seconds.clock)
    entries = Entry.objects.filter(event__meet=meet).count()
    everything = sum(taken.values(), Seconds(0, 0))
    total = everything - taken[EARLIER]
    for what, seconds in ((f"last trial to nine packs, {entries} athletes", total), ("all ten at once", everything)):
        say(what, seconds.clock)
        sys.stdout.write(f"  under {LIMIT_S} s: {'yes' if seconds.clock < LIMIT_S else 'OVER'}\n")
    say("  packs alone, floor the same pages by bare ReportLab", taken[PACKS].processor, floor_s, limit=LIMIT_RATIO)
    say("  from the last trial on, same floor", total.processor, floor_s, limit=LIMIT_RATIO)
    say("  all ten at once, floor with their sheets", everything.processor, with_sheets_s, limit=LIMIT_RATIO)


def processor_s(work: Callable[[], object]) -> float:
    begin = Seconds.now()
    work()
    return (Seconds.now() - begin).processor


if __name__ == "__main__":
    main()
