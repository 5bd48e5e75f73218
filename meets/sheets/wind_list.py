"""The gauge operator's own list: turn, bib, reading, on one page."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer

from athletes.paper.page import Page
from athletes.paper.parts import Box, Boxes, Sentence, SideBySide, SignatureLines
from athletes.paper.ruled import Column, Row, Ruled
from meets.sheets.documents import Flight, WindList
from meets.sheets.heading import page_for

ROWS_ON_A_PAGE = 22
SPARE_ROWS = 3
LOWEST_ROW = 7.2 * mm
HIGHEST_ROW = 11 * mm
GAP = 6 * mm


def wind_list_pdf(sheet: WindList) -> bytes:
    """One page for a flight, at most twenty-two turns a round on it; later rounds have empty lines beside."""
    page = page_for(sheet.about, _("Wind list"), number=sheet.number)
    story: list[Flowable] = []
    for flight in sheet.flights or (Flight("", ()),):
        turns: list[Row] = [(line.order, line.bib, *("",) * len(sheet.rounds)) for line in flight.lines]
        turns += [("",) * (len(sheet.rounds) + 2)] * SPARE_ROWS
        for start in range(0, len(turns), ROWS_ON_A_PAGE):
            story += _one_page(page, flight.title, turns[start : start + ROWS_ON_A_PAGE], sheet)
    return page.pdf(story[:-1])


def _one_page(page: Page, title: str, turns: list[Row], sheet: WindList) -> list[Flowable]:
    half = (page.width - GAP) / 2 if sheet.later_rounds else page.width
    heading = Sentence(
        title or _("In start-list order; the bib decides, not the line"), page.width, size=10.5, strong=True
    )
    below = _below(page, sheet)
    room = page.height - heading.height - sum(part.wrap(page.width, page.height)[1] for part in below) - 22
    row_height = min(max(room / len(turns), LOWEST_ROW), HIGHEST_ROW)
    first = Ruled(_columns(sheet.rounds, half), turns, row_height=row_height, boxed=True)
    if not sheet.later_rounds:
        return [heading, first, *below, PageBreak()]
    lines = min(sheet.later_lines + SPARE_ROWS, max(len(turns), sheet.later_lines))
    later: list[Row] = [
        (str(n) if n <= sheet.later_lines else "", *("",) * (len(sheet.later_rounds) + 1)) for n in range(1, lines + 1)
    ]
    second = Ruled(_columns(sheet.later_rounds, half), later, row_height=row_height, boxed=True)
    return [heading, SideBySide(first, second, GAP), *below, PageBreak()]


def _columns(rounds: Sequence[int], width: float) -> list[Column]:
    fixed = [
        Column(_("Turn"), 10 * mm, "centre", size=9),
        Column(_("Bib"), 17 * mm, "centre", size=13, strong=True, whole=True),
    ]
    each = (width - sum(column.width for column in fixed)) / len(rounds)
    return [*fixed, *(Column(_("Round %(round)d") % {"round": number}, each, "centre") for number in rounds)]


def _below(page: Page, sheet: WindList) -> list[Flowable]:
    # Where the gauge stands, from where and how long it measures: WA TR 29; rounding: WA TR 17 (both from memory).
    advice = (
        _("Start the gauge as the athlete passes the mark 40 m from the line (long jump) or 35 m (triple jump), or at "
          "the start of a shorter run; read it after 5 seconds."),
        _("Write the sign every time: +1.4, -0.3; 0.0 has none. NWI where there is no reading. Two decimals go up to "
          "the next tenth: +2.03 is +2.1, -2.03 is -2.0."),
        _("A replacement trial gets its own reading: write it beside the first one, with R."),
    )  # fmt: skip
    return [
        Spacer(0, 3 * mm),
        Boxes(
            [
                Box(_("gauge no."), 1.3, sheet.gauge),
                Box(_("20 m from the line, 1.22 m high, within 2 m of the runway"), 2.4),
                Box(_("checked at"), 1),
                Box(_("no wind information from: round, bib"), 2),
            ],
            page.width,
            10 * mm,
        ),
        SignatureLines([(_("gauge operator"), ""), (_("referee"), "")], page.width, 11 * mm),
        Spacer(0, 2 * mm),
        *(Sentence(words, page.width, size=7.5) for words in advice),
    ]
