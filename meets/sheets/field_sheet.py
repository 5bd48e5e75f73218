"""The blank field sheet: a form that a pencil likes, at most twelve rows a page."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer

from athletes.paper.page import Page
from athletes.paper.parts import Box, Boxes, Sentence, SignatureLines
from athletes.paper.ruled import Column, Row, Ruled
from meets.sheets.documents import FieldSheet, Flight, StartLine
from meets.sheets.heading import page_for

ROWS_ON_A_PAGE = 12
SPARE_ROWS = 3
LOWEST_ROW = 9 * mm
HIGHEST_ROW = 14 * mm
TITLE = 6 * mm
BOX = 9.5 * mm
SIGNATURE = 10 * mm
GAP = 1.6 * mm


def field_sheet_pdf(sheet: FieldSheet) -> bytes:
    """First block: everybody in order, with spare rows. Second block: empty lines for an order not yet known."""
    page = page_for(sheet.about, _("Field sheet"), landscape=True, number=sheet.number)
    story: list[Flowable] = []
    for flight in sheet.flights or (Flight("", ()),):
        rows: list[Row] = [_row(line, sheet) for line in flight.lines]
        rows += [("",) * len(_columns(page.width, sheet))] * SPARE_ROWS
        title = " · ".join(part for part in (flight.title, _rounds(sheet.rounds)) if part)
        for chunk in _pages(rows):
            story += _one_page(page, title, _columns(page.width, sheet), chunk, sheet, sheet.rounds)
    if sheet.later_rounds:
        columns = _later_columns(page.width, sheet)
        empty: list[Row] = [
            (str(number) if number <= sheet.later_lines else "", *("",) * (len(columns) - 1))
            for number in range(1, sheet.later_lines + SPARE_ROWS + 1)
        ]
        title = f"{_rounds(sheet.later_rounds)} · {sheet.later_order}".rstrip(" ·")
        for chunk in _pages(empty):
            story += _one_page(page, title, columns, chunk, sheet, sheet.later_rounds)
    return page.pdf(story[:-1])


def _pages(rows: list[Row]) -> list[list[Row]]:
    """Rows shared out evenly over as few pages as hold them."""
    count = -(-len(rows) // ROWS_ON_A_PAGE)
    each, over = divmod(len(rows), count)
    sizes = [each + (number < over) for number in range(count)]
    return [rows[sum(sizes[:n]) : sum(sizes[: n + 1])] for n in range(count)]


def _rounds(rounds: Sequence[int]) -> str:
    if len(rounds) == 1:
        return _("Round %(round)d") % {"round": rounds[0]}
    return _("Rounds %(first)d to %(last)d") % {"first": rounds[0], "last": rounds[-1]}


def _row(line: StartLine, sheet: FieldSheet) -> tuple[str | tuple[str, str], ...]:
    who = " · ".join(part for part in (line.school, line.string, line.year_group) if part)
    return (line.order, line.bib, (line.name, who), line.board, *("",) * (len(sheet.rounds) + 2))


def _trials(rounds: Sequence[int], width: float) -> list[Column]:
    return [Column(_("Trial %(round)d") % {"round": number}, width, "centre", halved=_("wind")) for number in rounds]


def _columns(width: float, sheet: FieldSheet) -> list[Column]:
    fixed = [
        Column(_("Order"), 11 * mm, "centre", size=10),
        Column(_("Bib"), 17 * mm, "centre", size=16, strong=True),
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
        Column(_("Bib"), 19 * mm, "centre"),
        Column(_("Name"), 45 * mm),
        Column(_("Board"), 16 * mm, "centre"),
        Column(_("Best so far"), 24 * mm, "centre"),
    ]
    last = [Column(_("Best of all"), 27 * mm, "centre"), Column(_("Place"), 18 * mm, "centre")]
    left = width - sum(column.width for column in (*fixed, *last))
    return [*fixed, *_trials(sheet.later_rounds, left / len(sheet.later_rounds)), *last]


def _one_page(
    page: Page, title: str, columns: list[Column], rows: list[Row], sheet: FieldSheet, rounds: Sequence[int]
) -> list[Flowable]:
    heading = Sentence(title, page.width, size=10.5, strong=True)
    below = _below(page, sheet, rounds)
    room = page.height - heading.height - sum(part.wrap(page.width, page.height)[1] for part in below)
    head_height = Ruled(columns, ()).wrap(page.width, page.height)[1]
    row_height = (room - head_height - 1) / len(rows)
    row_height = min(max(row_height, LOWEST_ROW), HIGHEST_ROW)
    table = Ruled(columns, rows, row_height=row_height, boxed=True)
    spare = room - head_height - row_height * len(rows) - 1
    return [heading, table, Spacer(0, max(spare, 0)), *below, PageBreak()]


def _below(page: Page, sheet: FieldSheet, rounds: Sequence[int]) -> list[Flowable]:
    """Boxes, signatures and the key to the notation: the same on every page, so that each stands alone."""
    each = [
        box
        for number in rounds
        for box in (
            Box(_("start of round %(round)d") % {"round": number}, 1.2),
            Box(_("D measured, line to sand"), 1.4),
        )
    ]
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
            [
                (role, "")
                for role in (_("referee"), _("take-off judge"), _("measurer"), _("recorder"), _("gauge operator"))
            ],
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
