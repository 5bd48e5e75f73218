"""The start list: for officials, larger for the announcer, with boxes to tick for the steward."""

from __future__ import annotations

from dataclasses import replace

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, Spacer

from athletes.paper.page import Page
from athletes.paper.parts import Sentence
from athletes.paper.ruled import Cell, Column, Row, Ruled
from meets.sheets.documents import For, StartLine, StartList
from meets.sheets.heading import page_for
from meets.sheets.wording import who


def start_list_pdf(sheet: StartList, reader: For = For.OFFICIALS) -> bytes:
    """A start list as one of its three readers needs it."""
    kind, columns_for, cells, row_height = {
        For.OFFICIALS: (_("Start list"), _officials_columns, _officials_cells, 7.5 * mm),
        For.ANNOUNCER: (_("Start list for the announcer"), _announcer_columns, _announcer_cells, 13 * mm),
        For.STEWARD: (_("Start list for the steward"), _steward_columns, _steward_cells, 9 * mm),
    }[reader]
    page = page_for(sheet.about, kind)
    columns = columns_for(page.width, sheet.triple)
    story: list[Flowable] = [Spacer(0, 2 * mm)]
    for flight in sheet.flights:
        rows: list[Row] = [cells(line, sheet.triple) for line in flight.lines]
        table = Ruled(columns, rows, row_height=row_height, title=flight.title)
        story += [CondPageBreak(45 * mm), table, Spacer(0, 4 * mm)]
    return page.pdf([*story, *_below(sheet, page)])


def _below(sheet: StartList, page: Page) -> list[Flowable]:
    lines = [(_("Record"), record) for record in sheet.records]
    lines += [(_("Standard"), standard) for standard in sheet.standards]
    if not any(flight.lines for flight in sheet.flights):
        lines.append(("", _("Nobody is entered yet.")))
    return [Sentence(text, page.width, lead=lead, size=9) for lead, text in lines]


def _also(line: StartLine) -> str:
    also = _("also in %(events)s") % {"events": ", ".join(line.also_in)} if line.also_in else ""
    klass = _("class %(name)s") % {"name": line.klass} if line.klass else ""
    return " · ".join(part for part in (klass, also, line.note) if part)


def _spread(columns: list[Column], width: float, growing: tuple[int, ...]) -> list[Column]:
    """The same columns with the room that is left given to the growing ones."""
    more = (width - sum(column.width for column in columns)) / len(growing)
    return [replace(column, width=column.width + more * (n in growing)) for n, column in enumerate(columns)]


def _officials_columns(width: float, triple: bool) -> list[Column]:
    columns = [
        Column(_("Order"), 11 * mm, "centre"),
        Column(_("Bib"), 14 * mm, "right", size=12, strong=True, whole=True),
        Column(_("Name"), 60 * mm, size=10),
        Column(_("School"), 38 * mm),
        Column(_("String"), 13 * mm, "centre"),
        Column(_("Year"), 14 * mm, "centre"),
        Column(_("Best before"), 23 * mm, "mark", size=10, under=6.5),
    ]
    if triple:
        columns.append(Column(_("Board"), 14 * mm, "right"))
    return _spread(columns, width, (2, 3))


def _officials_cells(line: StartLine, triple: bool) -> tuple[Cell, ...]:
    cells: tuple[Cell, ...] = (
        line.order, line.bib, (line.name, _also(line)), line.school, line.string, line.year_group,
        (line.seed, line.seed_note),
    )  # fmt: skip
    return (*cells, line.board) if triple else cells


def _announcer_columns(width: float, triple: bool) -> list[Column]:
    columns = [
        Column(_("Order"), 13 * mm, "centre", size=12),
        Column(_("Bib"), 19 * mm, "right", size=20, strong=True, whole=True),
        Column(_("Name, and how to say it"), 70 * mm, size=17, strong=True, under=12),
        Column(_("School"), 45 * mm, size=13, under=10),
        Column(_("Best before"), 27 * mm, "mark", size=15, under=8),
    ]
    return _spread(columns, width, (2, 3))


def _announcer_cells(line: StartLine, triple: bool) -> tuple[Cell, ...]:
    of_the_school = who(line.board if triple else "", line.string, line.year_group)
    under = " · ".join(part for part in (line.say_it, _also(line)) if part)
    return (
        line.order, line.bib, (line.name, under), (line.school, of_the_school), (line.seed, line.seed_note),
    )  # fmt: skip


def _steward_columns(width: float, triple: bool) -> list[Column]:
    columns = [
        Column(_("Order"), 11 * mm, "centre"),
        Column(_("Bib"), 14 * mm, "right", size=13, strong=True, whole=True),
        Column(_("Name"), 50 * mm, size=10),
        Column(_("School"), 34 * mm),
        Column(_("String"), 12 * mm, "centre"),
        Column(_("Year"), 13 * mm, "centre"),
    ]
    if triple:
        columns.append(Column(_("Board"), 13 * mm, "right"))
    columns += [
        Column(_("Present"), 14 * mm, "centre", tick=True),
        Column(_("Away"), 12 * mm, "centre", tick=True),
        Column(_("Where, back at"), 28 * mm),
    ]
    return _spread(columns, width, (2, 3))


def _steward_cells(line: StartLine, triple: bool) -> tuple[Cell, ...]:
    board = (line.board,) if triple else ()
    return (
        line.order, line.bib, (line.name, _also(line)), line.school, line.string, line.year_group, *board, "", "", "",
    )  # fmt: skip
