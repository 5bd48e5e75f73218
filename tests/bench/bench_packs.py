"""From the last trial of a meet of 10 events, 180 athletes and 9 schools to all nine packs written.

The floor draws the same pages with bare ReportLab tables from strings that are ready. Measured once: a meet ends once.
"""

import os
import sys
import tempfile
import time
from datetime import UTC, date, datetime
from pathlib import Path

from tests.bench.clock import SMOKE, median_s, say

ON, NOW = date(2027, 6, 12), datetime(2027, 6, 12, 8, 0, tzinfo=UTC)
LIMIT_S, LIMIT_RATIO = 20, 2
BY = {"by": "R. Corder", "recorder": "pit"}


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
    from meets.publishing.actions import publish_meet, publish_standings
    from meets.publishing.packs.actions import make_packs
    from meets.running import actions
    from meets.running.reads import state_of

    use_fonts()
    meet, event, at = meet_before_its_last_trial(folder)
    begin = time.perf_counter()
    step = begin
    taken = {}

    def lap(what: str) -> None:
        nonlocal step
        now = time.perf_counter()
        taken[what], step = now - step, now

    up = state_of(event).callable[0].turn
    actions.record_trial(event_id=event.pk, turn=up, trial="3.50", wind="+0.4", answered=True, now=at, **BY)
    actions.close(event_id=event.pk, now=at, **{**BY, "recorder": "desk"})
    lap("last trial and signed sheet")
    done = publish_meet(meet, by="O. Rganiser", now=at)
    assert all(one.publication for one in done), [one.why_not for one in done]
    lap(f"{len(done)} results published, each with PDF and CSV")
    publish_standings(meet, by="O. Rganiser", now=at)
    lap("team standings published")
    made = make_packs(meet=meet, now=at)
    lap(f"{len(made.new)} packs made and stored")
    total = time.perf_counter() - begin
    assert SchoolPack.objects.filter(meet=meet).count() == len(made.new) == 9
    compare(meet, total, taken[f"{len(made.new)} packs made and stored"], taken)


def compare(meet, total: float, packs_s: float, taken: dict[str, float]) -> None:
    """Against the same words drawn by bare ReportLab, with the same number of athletes on the pages."""
    import json

    from meets.models import Entry, SchoolPack
    from meets.publishing.packs.build import Drawing
    from meets.publishing.packs.sources import sources_of
    from tests.bench.floor_packs import bare_packs, cells_of
    from tests.meets.sheets.reading import words

    rows = list(SchoolPack.objects.filter(meet=meet))
    drawing = Drawing(sources_of(meet))
    ready = [cells_of(drawing.sheet(json.loads(row.document))) for row in rows]
    bare = bare_packs(ready)
    for row, floor, cells in zip(rows, bare, ready, strict=True):
        own_words, floor_words = words(bytes(row.pdf)), words(floor)
        names = [line[2].split("\n")[0] for line in cells[0] if line[1]]
        assert all(name in text for name in names for text in (own_words, floor_words))
    floor_s = median_s(lambda: bare_packs(ready), 0 if SMOKE else 20, 1 if SMOKE else 5)
    entries = Entry.objects.filter(event__meet=meet).count()
    for what, seconds in taken.items():
        say(f"  {what}", seconds)
    say(f"last trial to nine packs, {meet.events.count()} events, {entries} athletes", total)
    sys.stdout.write(f"  under {LIMIT_S} s: {'yes' if total < LIMIT_S else 'OVER'}\n")
    say("  packs alone, floor the same pages by bare ReportLab", packs_s, floor_s, limit=LIMIT_RATIO)
    say("  all from the last trial on, same floor", total, floor_s, limit=LIMIT_RATIO)


if __name__ == "__main__":
    main()
