"""What an athlete has reached beside the place: signs for bests, a standard, records."""

from collections.abc import Sequence
from dataclasses import dataclass

from meets.models import Entry, Event
from meets.sheets.reads import Known


@dataclass(frozen=True, slots=True)
class Honoured:
    """As words for a document. `signs`: PB or SB."""

    signs: tuple[str, ...] = ()
    standard: str = ""
    records: tuple[str, ...] = ()


def honours_in(event: Event, shown: Known, entries: Sequence[Entry]) -> dict[str, Honoured]:
    """By entry key, for everybody in the event."""
    return {
        entry: Honoured(own.signs, own.standard, tuple(hit.says for hit in own.records))
        for entry, own in shown.honours.items()
    }
