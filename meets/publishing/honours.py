"""What an athlete has reached beside the place: signs for bests, a standard, records."""

from collections.abc import Sequence
from dataclasses import dataclass

from meets.models import Entry, Event
from meets.sheets.reads import Earlier, Known
from scoring.bests import best_sign


@dataclass(frozen=True, slots=True)
class Honoured:
    """As words for a document. `signs`: PB or SB."""

    signs: tuple[str, ...] = ()
    standard: str = ""
    records: tuple[str, ...] = ()


def honours_in(event: Event, shown: Known, entries: Sequence[Entry]) -> dict[str, Honoured]:
    """By entry key, for everybody in the event."""
    found = {}
    for entry in shown.state.entries:
        earlier = shown.earlier.get(entry.line.entry, Earlier())
        sign = best_sign(entry.series, shown.state.rules, ever=earlier.ever, season=earlier.season)
        found[entry.line.entry] = Honoured((sign,) if sign else ())
    return found
