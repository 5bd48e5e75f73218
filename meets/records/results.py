"""What records and bests take from a published result: marks that count, with their winds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from scoring.bests import counting_winds
from scoring.rulesets import RuleSet, from_written
from scoring.wind import Wind, WindStatus, wind_status

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class CountedMark:
    """A valid mark of a published series, in the meet's unit. `wind` is None while it is still to come."""

    round: int
    replacement: int
    mark: int
    wind: Wind | None


def rules_in(document: Document) -> RuleSet:
    """The rules that a result was published by, as far as bests depend on them."""
    written = document["rules"]["fields"]
    known = ("take_off_zone", "zone_cm", "wind_limit_tenths", "nwi_counts_for_bests", "windy_counts_for_bests")
    return RuleSet().with_changes({name: from_written(name, written[name]) for name in known if name in written})


def counted_marks(line: Document) -> Iterator[CountedMark]:
    for trial in line["series"]:
        if trial["mark"] is not None and trial["counts"] and not trial["held"]:
            yield CountedMark(trial["round"], trial["replacement"], trial["mark"], wind_in(trial["wind"]))


def wind_in(written: Document | None) -> Wind | None:
    """The wind of a mark as documents write it; None while it is still to come."""
    if written is None or written.get("owed"):
        return None
    return Wind(written.get("tenths"))


def best_that_counts(line: Document, rules: RuleSet) -> CountedMark | None:
    """The longest mark that counts for bests and standards; of equal ones one with a legal wind."""
    counting, limit = counting_winds(rules), rules.wind_limit_tenths
    fitting = [one for one in counted_marks(line) if wind_status(one.wind, limit) in counting]
    legal = WindStatus.LEGAL
    return max(fitting, key=lambda one: (one.mark, wind_status(one.wind, limit) is legal), default=None)
