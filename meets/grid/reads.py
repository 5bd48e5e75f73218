"""Typed sheets of a meet, how far each is, and what an agreed one would put into the log."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.utils.translation import gettext as _

from meets.grid.cells import Cells, field_sheet
from meets.grid.comparing import TwoTypings, differences, fingerprint
from meets.grid.layout import keys_by_bib
from meets.models import Entry, Event, LogRow, Meet, TypedSheet
from meets.running.on_paper import Decision, Difference, SheetQuestion
from meets.running.reads import Person, entries_of, people_of
from meets.running.sheet import read_sheet
from meets.running.words import say
from scoring.marks import Unit, show_mark
from scoring.state import EventState


def events(meet: Meet) -> QuerySet[Event]:
    return meet.events.select_related("meet")


def sheets(meet: Meet) -> QuerySet[TypedSheet]:
    return TypedSheet.objects.filter(event__meet=meet).select_related("event__meet")


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A typed sheet in a list: its number, what is to be done with it, by whom it was typed."""

    sheet_id: int
    typed_by: str
    typed_at: datetime
    stage: str


@dataclass(frozen=True, slots=True)
class EventLine:
    event_id: int
    event: str
    starts_at: datetime | None
    entries: int
    drawn: bool
    begun: bool
    sheets: tuple[SheetLine, ...]


def event_lines(meet: Meet) -> list[EventLine]:
    """Every event of the meet with the sheets typed for it."""

    def has(kind: str) -> Exists:
        return Exists(LogRow.objects.filter(event=OuterRef("pk"), kind=kind))

    in_it = Count("entries", filter=~Q(entries__status=Entry.Status.WITHDRAWN))
    rows = meet.events.annotate(in_it=in_it, drawn=has("drawn"), begun=has("jumped")).prefetch_related("typed_sheets")
    return [
        EventLine(
            event.pk,
            event.name,
            event.starts_at,
            event.in_it,
            event.drawn,
            event.begun,
            tuple(sheet_line(sheet) for sheet in event.typed_sheets.all()),
        )
        for event in rows
    ]


def sheet_line(sheet: TypedSheet) -> SheetLine:
    return SheetLine(sheet.pk, sheet.typed_by, sheet.typed_at, stage_of(sheet))


def stage_of(sheet: TypedSheet) -> str:
    """stored, agreed, differs or typed once."""
    if "stored" in sheet.cells:
        return "stored"
    if "agreed" in sheet.cells:
        return "agreed"
    return "differs" if "second" in sheet.cells else "once"


@dataclass(frozen=True, slots=True)
class AskedBox:
    """A box of the sheet with the questions about it."""

    text: str
    wind: str
    asked: bool


@dataclass(frozen=True, slots=True)
class AskedLine:
    """An athlete's boxes, rounds 1 to the last, and what is asked about them."""

    person: Person
    boxes: tuple[AskedBox, ...]
    best: str
    place: str
    questions: tuple[SheetQuestion, ...]


@dataclass(frozen=True, slots=True)
class Preview:
    """What an agreed sheet would mean. `refused`: put right first; questions are ticked, departures explained."""

    version: int
    rounds: range
    lines: tuple[AskedLine, ...]
    refused: tuple[str, ...]
    decisions: tuple[Decision, ...]
    departs: bool
    differences: tuple[tuple[Person, Difference], ...]
    confirmed: int
    alarms: tuple[str, ...]
    trials: int


@dataclass(frozen=True, slots=True)
class SheetPage:
    """`seen` names what is shown; forms send it along."""

    sheet: TypedSheet
    stage: str
    same_person: bool
    seen: str
    differences: tuple[TwoTypings, ...] = ()
    preview: Preview | None = None


def sheet_page(sheet: TypedSheet) -> SheetPage:
    """A typed sheet and what is next to do with it."""
    stage = stage_of(sheet)
    same = sheet.typed_by.casefold() == sheet.checked_by.casefold()
    seen = fingerprint(sheet.cells)
    if stage == "differs":
        found = differences(Cells.of(sheet.cells["first"]), Cells.of(sheet.cells["second"]))
        return SheetPage(sheet, stage, same, seen, tuple(found))
    if stage == "agreed":
        return SheetPage(sheet, stage, same, seen, preview=_preview(sheet))
    return SheetPage(sheet, stage, same, seen)


def _preview(sheet: TypedSheet) -> Preview:
    event, cells = sheet.event, Cells.of(sheet.cells["agreed"])
    entries = entries_of(event)
    people = people_of(event, entries)
    keys = keys_by_bib(entries)
    reading = read_sheet(event, field_sheet(cells, keys))
    by_key = {key: bib for bib, key in keys.items()}
    last = max((round for own in cells.boxes.values() for round in own), default=0)
    rounds = range(1, last + 1)
    listed = list(dict.fromkeys([*cells.lines.get(1, ()), *cells.boxes]))
    lines = []
    for bib in listed:
        if bib not in keys:
            continue
        asked = tuple(question for question in reading.questions if question.entry == keys[bib])
        own, rounds_asked = cells.boxes.get(bib, {}), {question.round for question in asked}
        boxes = tuple(AskedBox(*own.get(round, ("", "")), round in rounds_asked) for round in rounds)
        best, place = _stands(reading.state, keys[bib], Unit(event.meet.unit))
        lines.append(AskedLine(people[keys[bib]], boxes, best, place, asked))
    gone = [_("Bib %(bib)s has left the event since.") % {"bib": bib} for bib in listed if bib not in keys]
    return Preview(
        version=reading.version,
        rounds=rounds,
        lines=tuple(lines),
        refused=(*gone, *reading.refused),
        decisions=tuple(reading.decisions),
        departs=reading.departs,
        differences=tuple((people[d.entry], d) for d in reading.differences),
        confirmed=reading.confirmed,
        alarms=tuple(_alarm(alarm, by_key) for alarm in reading.alarms),
        trials=sum(len(own) for own in cells.boxes.values()),
    )


def _stands(state: EventState | None, entry: str, unit: Unit) -> tuple[str, str]:
    placed = next((p for p in state.places if p.entry == entry), None) if state else None
    if placed is None:
        return "", ""
    place = "" if placed.place is None else f"{placed.place}{'=' if placed.shared_with else ''}"
    return (placed.status if placed.best is None else show_mark(placed.best, unit)), place


def _alarm(alarm, bibs: dict[str, str]) -> str:
    named = ", ".join(bibs[entry] for entry in alarm.entries if entry in bibs)
    values = {**alarm.values}
    if "changes" in values:
        values["changes"] = ", ".join(f"{c[0]}{bibs.get(c[1:], '')}" for c in map(str, values["changes"]))
    said = say(type(alarm)(alarm.key, alarm.message, values))
    return f"{named}: {said}" if named else said
