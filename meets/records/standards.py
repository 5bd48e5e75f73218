"""The named thresholds of a meet, as they hold for one event."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from meets.models import Event, Standard
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
    unit = Unit(event.meet.unit)
    fitting = Standard.objects.filter(
        meet=event.meet_id,
        discipline=event.discipline,
        category__in=["", event.category],
        age_group__in=["", event.age_group],
    )
    return tuple(StandardLine(name, mark, show_mark(mark, unit)) for mark, name in sorted(_closest(fitting)))


def _closest(standards: Iterable[Standard]) -> Iterable[tuple[int, str]]:
    ordered = sorted(standards, key=lambda one: (bool(one.age_group), bool(one.category)))
    return ((one.mark, name) for name, one in {one.name: one for one in ordered}.items())


def reached(standards: Iterable[StandardLine], mark: int | None) -> str:
    """The name of the highest standard that a mark has reached, or ''."""
    names = [one.name for one in sorted(standards, key=lambda one: one.mark) if mark is not None and mark >= one.mark]
    return names[-1] if names else ""
