"""The blank field sheet: a form that a pencil likes, at most twelve rows a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer

from athletes.paper.page import Page
from athletes.paper.parts import Box, Boxes, Sentence, SignatureLines
from athletes.paper.ruled import Column, Row, Ruled
from meets.sheets.documents import FieldSheet, Flight, StartLine
from meets.sheets.heading import page_for
from meets.sheets.wording import roles, who

ROWS_ON_A_PAGE = 12
SPARE_ROWS = 3
LOWEST_ROW = 9 * mm
HIGHEST_ROW = 14 * mm
BOX = 9 * mm
SIGNATURE = 9.5 * mm
GAP = 1.6 * mm


@dataclass(frozen=True, slots=True)
class _Block:
    """Rows that belong together: those of a flight, or the empty ones of later rounds."""

    title: str
    columns: list[Column]
    rows: list[Row]
    rounds: tuple[int, ...]


def field_sheet_pdf(sheet: FieldSheet) -> bytes:
    """First block: everybody in order, with spare rows. Second block: empty lines for an order not yet known."""
    page = page_for(sheet.about, _("Field sheet"), landscape=True, number=sheet.number)
    blocks = [_first_block(page, sheet, flight) for flight in sheet.flights or (Flight("", ()),)]
    if sheet.later_rounds:
        blocks.append(_second_block(page, sheet))
    story = [part for block in blocks for part in _on_pages(page, block, sheet)]
    return page.pdf(story[:-1])


def _first_block(page: Page, sheet: FieldSheet, flight: Flight) -> _Block:
    columns = _columns(page.width, sheet)
    rows: list[Row] = [_row(line, sheet) for line in flight.lines]
    rows += [("",) * len(columns)] * SPARE_ROWS
    title = " · ".join(part for part in (flight.title, _rounds(sheet.rounds)) if part)
    return _Block(title, columns, rows, sheet.rounds)


def _second_block(page: Page, sheet: FieldSheet) -> _Block:
    columns = _later_columns(page.width, sheet)
    rows: list[Row] = [
        (str(number) if number <= sheet.later_lines else "", *("",) * (len(columns) - 1))
        for number in range(1, sheet.later_lines + SPARE_ROWS + 1)
    ]
    title = " · ".join(part for part in (_rounds(sheet.later_rounds), sheet.later_order) if part)
    return _Block(title, columns, rows, sheet.later_rounds)


def _on_pages(page: Page, block: _Block, sheet: FieldSheet) -> Iterator[Flowable]:
    """The rows shared out evenly over as few pages as hold them, each page a form that stands alone."""
    heading = Sentence(block.title, page.width, size=10.5, strong=True)
    below = _below(page, sheet, block.rounds)
    around = [heading, Ruled(block.columns, ()), *below]
    room = page.height - 1 - sum(part.wrap(page.width, page.height)[1] for part in around)
    most = min(ROWS_ON_A_PAGE, int(room / LOWEST_ROW))
    pages = -(-len(block.rows) // most)
    while pages < len(block.rows) and any(sum(table.row_heights) > room for table in _tables(block, pages, room)):
        pages += 1
    for table in _tables(block, pages, room):
        spare = room - sum(table.row_heights)
        yield from (heading, table, Spacer(0, max(spare, 0)), *below, PageBreak())


def _tables(block: _Block, pages: int, room: float) -> list[Ruled]:
    """The rows in as many tables, each as high as the room allows up to the highest row a pencil wants."""
    count = len(block.rows)
    shares = [block.rows[n * count // pages : (n + 1) * count // pages] for n in range(pages)]
    # A hundredth less than the room: sums of fractions may come out a hair above it.
    return [
        Ruled(block.columns, rows, row_height=min((room - 0.01) / len(rows), HIGHEST_ROW), boxed=True)
        for rows in shares
    ]


def _rounds(rounds: Sequence[int]) -> str:
    if len(rounds) == 1:
        return _("Round %(round)d") % {"round": rounds[0]}
    return _("Rounds %(first)d to %(last)d") % {"first": rounds[0], "last": rounds[-1]}


def _row(line: StartLine, sheet: FieldSheet) -> tuple[str | tuple[str, str], ...]:
    name = (line.name, who(line.school, line.string, line.year_group))
    return (line.order, line.bib, name, line.board, *("",) * (len(sheet.rounds) + 2))


def _trials(rounds: Sequence[int], width: float) -> list[Column]:
    return [Column(_("Trial %(round)d") % {"round": number}, width, "centre", halved=_("wind")) for number in rounds]


def _columns(width: float, sheet: FieldSheet) -> list[Column]:
    fixed = [
        Column(_("Order"), 11 * mm, "centre", size=10),
        Column(_("Bib"), 17 * mm, "centre", size=16, strong=True, whole=True),
        Column(_("Name, school"), 66 * mm, size=11, under=8),
        Column(_("Board"), 16 * mm, "centre", size=10),
    ]
    last = [
        Column(_("Best"), 27 * mm, "centre"),
        Column(
            _("Place after round %(round)d") % {"round": sheet.rounds[-1]} if sheet.later_rounds else _("Place"),
            20 * mm,
            "centre",
        ),
    ]
    left = width - sum(column.width for column in (*fixed, *last))
    return [*fixed, *_trials(sheet.rounds, left / len(sheet.rounds)), *last]


def _later_columns(width: float, sheet: FieldSheet) -> list[Column]:
    fixed = [
        Column(_("Order"), 11 * mm, "centre", size=10),
        Column(_("Bib"), 19 * mm, "centre", whole=True),
        Column(_("Name"), 45 * mm),
        Column(_("Board"), 16 * mm, "centre"),
        Column(_("Best so far"), 24 * mm, "centre"),
    ]
    last = [Column(_("Best of all"), 27 * mm, "centre"), Column(_("Place"), 18 * mm, "centre")]
    left = width - sum(column.width for column in (*fixed, *last))
    return [*fixed, *_trials(sheet.later_rounds, left / len(sheet.later_rounds)), *last]


def _below(page: Page, sheet: FieldSheet, rounds: Sequence[int]) -> list[Flowable]:
    """Boxes, signatures and the key to the notation: the same on every page, so that each stands alone."""
    if len(rounds) <= 3:
        each = [
            box
            for number in rounds
            for box in (
                Box(_("start of round %(round)d") % {"round": number}, 1.2),
                Box(_("D measured, line to sand"), 1.4),
            )
        ]
    else:
        each = [Box(_("round %(round)d: start, D measured") % {"round": number}, 1.4) for number in rounds]
    away = Box(_("away with leave: bib, where, out at, back at"), 3)
    return [
        Spacer(0, GAP),
        Boxes([*each, Box(_("tape check, zero at the sand"), 1.6), Box(_("gauge no."), 1)], page.width, BOX),
        Boxes(
            [away, away, Box(_("weather"), 1.4), Box(_("end"), 0.9), Box(_("time of protest"), 1.1)],
            page.width,
            BOX,
        ),
        Spacer(0, GAP),
        SignatureLines(
            [(role, "") for role in roles()],
            page.width,
            SIGNATURE,
        ),
        Spacer(0, GAP),
        Sentence(_key(sheet), page.width, lead=_("Key"), size=7.2),
    ]


def _key(sheet: FieldSheet) -> str:
    example = "16-04.50" if sheet.feet else "5.43"
    return _(
        "%(mark)s distance · x failed (write why) · - pass · r retired, takes no more · o valid, not measured · "
        "wind with its sign, +1.4 or -0.3 · NWI no wind information · under protest: x and the distance in brackets · "
        "replacement: strike the old trial out, write R and the new one · correction: strike out, write beside, initial"
    ) % {"mark": example}
