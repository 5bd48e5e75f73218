"""What is known of athletes' marks from before a meet, as far as it counts for bests."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from athletes.models import PastMark
from meets.models import Entry, Event
from scoring.bests import counting_winds, longest_in
from scoring.marks import Unit
from scoring.rulesets import RuleSet
from scoring.wind import Wind, WindStatus, wind_status


@dataclass(frozen=True, slots=True)
class Earlier:
    """Marks of an athlete known from before the meet, in its unit: all that count for bests, those of the meet's
    year, and the wind-assisted ones that do not."""

    ever: tuple[int, ...] = ()
    season: tuple[int, ...] = ()
    windy: tuple[int, ...] = ()


def earlier_of(event: Event, entries: Sequence[Entry], rules: RuleSet) -> dict[str, Earlier]:
    """By entry; the seed is one of the marks. A mark without a wind has no wind information."""
    unit, counting = Unit(event.meet.unit), counting_winds(rules)
    ever, season, windy = (
        defaultdict[int, list[int]](list),
        defaultdict[int, list[int]](list),
        defaultdict[int, list](list),
    )

    def add(athlete: int, mark: int, tenths: int | None, year: int | None) -> None:
        status = wind_status(Wind(tenths), rules.wind_limit_tenths)
        if status in counting:
            ever[athlete].append(mark)
            if year == event.meet.date.year:
                season[athlete].append(mark)
        elif status is WindStatus.WINDY:
            windy[athlete].append(mark)

    marks = PastMark.objects.filter(
        athlete__in=[entry.athlete_id for entry in entries],
        discipline=event.discipline,
        jumped_on__lt=event.meet.date,
    )
    for athlete, cm, quarters, tenths, day in marks.values_list(
        "athlete", "mark_cm", "quarter_inches", "wind_tenths", "jumped_on"
    ):
        measured = (cm, Unit.CM) if quarters is None else (quarters, Unit.QUARTER_INCH)
        add(athlete, longest_in(*measured, unit), tenths, day.year)
    for entry in entries:
        if entry.seed_mark:
            year = entry.seed_date.year if entry.seed_date else None
            add(entry.athlete_id, entry.seed_mark, entry.seed_wind_tenths, year)
    return {
        str(entry.pk): Earlier(*(tuple(found[entry.athlete_id]) for found in (ever, season, windy)))
        for entry in entries
    }
