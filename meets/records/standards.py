"""The named thresholds of a meet, as they hold for one event."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from meets.models import Event, Meet, Standard
from scoring.marks import Unit, show_mark


@dataclass(frozen=True, slots=True)
class StandardLine:
    """A standard of an event; `mark` in the meet's unit."""

    name: str
    mark: int
    shown: str


def standards_of(event: Event) -> tuple[StandardLine, ...]:
    """The standards that hold for an event, the easiest first.

    Of several with one name, the one that says more exactly whom it is for holds.
    """
    return standards_by_event(event.meet, [event])[event.pk]


def standards_by_event(meet: Meet, events: Iterable[Event]) -> dict[int, tuple[StandardLine, ...]]:
    """The standards of several events of a meet, in one query."""
    known, unit = list(Standard.objects.filter(meet=meet)), Unit(meet.unit)
    return {
        event.pk: tuple(
            StandardLine(name, mark, show_mark(mark, unit)) for mark, name in sorted(_closest(event, known))
        )
        for event in events
    }


def _closest(event: Event, standards: Iterable[Standard]) -> Iterable[tuple[int, str]]:
    fitting = [
        one
        for one in standards
        if one.discipline == event.discipline
        and one.category in ("", event.category)
        and one.age_group in ("", event.age_group)
    ]
    fitting.sort(key=lambda one: (bool(one.age_group), bool(one.category)))
    return ((one.mark, name) for name, one in {one.name: one for one in fitting}.items())


def reached(standards: Iterable[StandardLine], mark: int | None) -> str:
    """The name of the highest standard that a mark has reached, or ''."""
    names = [one.name for one in sorted(standards, key=lambda one: one.mark) if mark is not None and mark >= one.mark]
    return names[-1] if names else ""
