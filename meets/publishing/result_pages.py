"""The public page of one result, from its published document."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from meets.board.drawing import NARROW, WIDE, Drawing, Landed, pit_drawing
from meets.entries.values import with_minus
from meets.models import Event, Meet
from meets.publishing.sheet import (
    line_signs,
    result_sheet_of,
    shown_place,
    shown_points,
    trial_words,
    wind_words,
)
from meets.publishing.version_pages import Version, chosen
from scoring.marks import Unit

Document = Mapping[str, object]
SIZES = (("wide", WIDE), ("narrow", NARROW))


@dataclass(frozen=True)
class Cell:
    """One trial as it stands in the table."""

    text: str
    wind: str = ""
    counts: bool = True
    best: bool = False
    held: bool = False


@dataclass(frozen=True)
class Line:
    """One athlete of a result."""

    entry: str
    place: str
    bib: str
    name: str
    school: str
    string: str
    year: str
    guest: bool
    klass: str
    best: str
    best_wind: str
    legal: str
    cells: tuple[Cell, ...]
    points: str
    signs: tuple[str, ...]
    reason: str = ""
    cut_above: tuple[str, ...] = ()


@dataclass(frozen=True)
class ResultPage:
    """A version of a result, with its table and what stands below it."""

    event: Event
    version: Version
    newest: Version
    others: int
    lines: tuple[Line, ...]
    rounds: range
    notes: tuple[tuple[str, tuple[str, ...]], ...]
    key: tuple[tuple[str, str], ...]
    has_points: bool
    drawings: tuple[tuple[str, Drawing], ...] = ()
    last_cut: tuple[str, ...] = ()


def result_page(meet: Meet, event: Event, number: int | None) -> ResultPage | None:
    """A version, or without a number the newest; None if there is none."""
    found, shown, document = chosen(meet, event, number)
    if shown is None:
        return None
    sheet = result_sheet_of(document, shown.sha256)
    lines = _with_cuts(document, [line_shown(document, line) for line in document["lines"]])
    notes = (
        (_("Ties"), sheet.tie_notes),
        (_("Remarks"), tuple(document["notes"]["remarks"])),
        (_("Wind"), (sheet.wind_note,) if sheet.wind_note else ()),
    )
    declared = document["declared_by"]
    if declared:
        notes += ((_("Official"), (_("Declared by the referee, %(name)s.") % {"name": declared},)),)
    return ResultPage(
        event=event,
        version=shown,
        newest=found[-1],
        others=len(found) - 1,
        lines=lines,
        rounds=range(1, document["rounds"] + 1),
        notes=tuple((title, says) for title, says in notes if says),
        key=sheet.key,
        has_points=any(line.points for line in lines),
        drawings=tuple(_drawings(document)),
        last_cut=tuple(says for above, says in document["notes"]["cuts"] if above == len(lines)),
    )


def line_shown(document: Document, line: Document) -> Line:
    """One athlete of a published document, as pages show them."""
    best, legal = line["best"], line["best_legal"]
    return Line(
        entry=line["entry"],
        place=shown_place(line),
        bib=line["bib"],
        name=line["name"],
        school=line["school"]["name"],
        string=line["string"],
        year=line["year"],
        guest=line["guest"],
        klass=line["klass"],
        best=trial_words({**best, "counts": True}) if best else line["status"],
        best_wind=with_minus(wind_words(best)),
        legal=legal["shown"] if legal else "",
        cells=_cells(document, line),
        points=shown_points(line["points"]),
        signs=tuple(line_signs(line)),
        reason=line["status_reason"],
    )


def _cells(document: Document, line: Document) -> tuple[Cell, ...]:
    found = {}
    for trial in sorted(line["series"], key=lambda trial: trial["counts"]):
        best = bool(line["best"]) and trial["counts"] and trial["mark"] == line["best"]["mark"]
        best = best and trial["wind"] == line["best"]["wind"]
        found[trial["round"]] = Cell(
            trial_words({**trial, "counts": True}),
            with_minus(wind_words(trial)),
            trial["counts"],
            best,
            trial["held"],
        )
    return tuple(found.get(round, Cell("")) for round in range(1, document["rounds"] + 1)) if found else ()


def _with_cuts(document: Document, lines: list[Line]) -> tuple[Line, ...]:
    for above, says in document["notes"]["cuts"]:
        if above < len(lines):
            lines[above] = replace(lines[above], cut_above=(*lines[above].cut_above, says))
    return tuple(lines)


def _drawings(document: Document) -> list[tuple[str, Drawing]]:
    """The best of each in the sand, wide and for a phone; none while nobody has a mark."""
    landed, boards = [], set()
    for line in document["lines"]:
        boards |= {trial["board_cm"] for trial in line["series"] if trial["board_cm"]}
        best = line["best"]
        if best:
            own = next(trial for trial in line["series"] if trial["counts"] and trial["mark"] == best["mark"])
            landed.append(Landed(line["bib"], best["mark"], best["shown"], own["board_cm"], line["place"] == 1))
    unit = Unit(document["meet"]["unit"])
    drawn = ((name, pit_drawing(landed, unit=unit, boards_cm=sorted(boards), size=size)) for name, size in SIZES)
    return [(name, drawing) for name, drawing in drawn if drawing]
