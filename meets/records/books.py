"""The record books of a meet as they stand for one event."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from meets.entries.values import wind_words
from meets.models import Event, Meet, Record, RecordBook
from meets.running.public_names import public_name
from scoring.claims import Bar, exactly_in
from scoring.marks import Unit, mark_in_cm, mark_in_quarter_inches, show_mark
from scoring.wind import NWI, Wind, WindStatus, wind_status


@dataclass(frozen=True, slots=True)
class RecordLine:
    """What stands in a book for an event. `mark` in the meet's unit: None where the book is kept in the other unit
    and the mark cannot be written in this one without rounding. `shown` is ready, `of_school` the code of the school
    whose athletes alone can beat it. Equal marks share: holders, schools and years are then joined.
    """

    book: str
    level: str
    mark: int | None
    shown: str
    holder: str
    school: str
    year: str
    wind: str
    of_school: str = ""


def lines_for(event: Event) -> QuerySet[Record]:
    """Everything in the meet's books about an event that was not taken out, the longest first."""
    return lines_of_meet(event.meet).filter(
        discipline=event.discipline, category=event.category, age_group=event.age_group
    )


def lines_of_meet(meet: Meet) -> QuerySet[Record]:
    return (
        Record.objects.filter(book__meets=meet, taken_out_at=None)
        .select_related("book__school", "athlete", "claim")
        .order_by("book__level", "book__name", "-mark", "year", "set_on", "pk")
    )


def by_book(lines: Iterable[Record]) -> dict[RecordBook, list[Record]]:
    found: dict[RecordBook, list[Record]] = {}
    for line in lines:
        found.setdefault(line.book, []).append(line)
    return found


def standing(lines: Sequence[Record]) -> list[Record]:
    """Of the lines of one event in a book, those with the longest mark: several share it."""
    best = max((line.mark for line in lines), default=None)
    return [line for line in lines if line.mark == best]


def bars_before(meet: Meet, events: Sequence[Event]) -> dict[int, dict[RecordBook, Bar]]:
    """What has to be beaten in events of a meet, by their ids: what stood in each book before it, without any claim
    of the event itself."""
    earlier = Q(set_on__lte=meet.date) | Q(set_on=None, year__lte=meet.date.year)
    lines = list(lines_of_meet(meet).filter(earlier))
    return {event.pk: _bars([line for line in lines if _stood_before(line, event)]) for event in events}


def _stood_before(line: Record, event: Event) -> bool:
    kind = (event.discipline, event.category, event.age_group)
    claim = getattr(line, "claim", None)
    return kind == (line.discipline, line.category, line.age_group) and (claim is None or claim.event_id != event.pk)


def _bars(lines: Iterable[Record]) -> dict[RecordBook, Bar]:
    return {
        book: Bar(
            mark=max(line.mark for line in own),
            unit=Unit(book.unit),
            needs_wind=book.needs_wind,
            takes_guests=book.level == RecordBook.Level.SCHOOL,
        )
        for book, own in by_book(lines).items()
    }


def records_of(event: Event, *, full_names: bool = False) -> tuple[RecordLine, ...]:
    """The records that stand for an event, one line for each book; pupils' names as the public may see them."""
    unit = Unit(event.meet.unit)
    return tuple(_line(book, standing(own), event, unit, full_names) for book, own in by_book(lines_for(event)).items())


def _line(book: RecordBook, shared: Sequence[Record], event: Event, unit: Unit, full_names: bool) -> RecordLine:
    mark = shared[0].mark
    return RecordLine(
        book=book.name,
        level=str(RecordBook.Level(book.level).label),
        mark=exactly_in(mark, Unit(book.unit), unit),
        shown=marked(show_in(mark, Unit(book.unit), unit), wind_of(shared[0])),
        holder=joined(one.holder if full_names else public_holder(one, event.meet) for one in shared),
        school=joined(one.school for one in shared),
        year=joined(str(one.year) for one in shared),
        wind=joined(wind_words(wind_of(one)) for one in shared),
        of_school=book.school.code if book.school else "",
    )


def public_holder(line: Record, meet: Meet) -> str:
    """Who holds a record, as the public may see it: what an organiser typed as it is, a pupil of a meet as the meet
    shows names, and nobody once such a pupil is no longer known here."""
    if line.athlete is not None:
        return public_name(line.athlete, meet)
    return "" if line.approved_at else line.holder


def wind_of(line: Record) -> Wind:
    return NWI if line.wind_tenths is None else Wind(line.wind_tenths)


def is_windy(wind: Wind | None, limit_tenths: int = 20) -> bool:
    return wind is not None and wind_status(wind, limit_tenths) is WindStatus.WINDY


def marked(shown: str, wind: Wind | None, limit_tenths: int = 20) -> str:
    """A mark as it is shown with its wind beside it: `w` behind one that is wind-assisted."""
    return f"{shown}w" if is_windy(wind, limit_tenths) else shown


def show_in(mark: int, unit: Unit, wanted: Unit) -> str:
    """A mark in its own unit; behind it, in brackets, about what that is where the other unit is used.

    >>> show_in(786, Unit.QUARTER_INCH, Unit.CM)
    '16-04.50 (4.99 m)'
    """
    own = show_mark(mark, unit)
    if unit is wanted:
        return own
    if wanted is Unit.CM:
        return f"{own} ({show_mark(mark_in_cm(mark, unit))} m)"
    return f"{own} m ({show_mark(mark_in_quarter_inches(mark), wanted)})"


def joined(parts: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(part for part in parts if part))
