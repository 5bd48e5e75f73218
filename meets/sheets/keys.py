"""Codes that let officials' phones in, as cards to be cut apart: three a page, each to be understood alone."""

from __future__ import annotations

from django.utils.translation import gettext as _
from reportlab.graphics import renderPDF
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer

from athletes.paper.fonts import STRONG, TEXT, fitted, printable, wrapped
from athletes.paper.page import HAIRLINE, Page
from athletes.paper.qr import qr_code
from meets.sheets.documents import CodeCard, CodeSheet
from meets.sheets.heading import page_for

ON_A_PAGE = 3
GAP = 4 * mm
SIDE = 64 * mm
INSET = 4 * mm
ROOM_BELOW = 10 * mm
LEADING = 1.28


def codes_pdf(sheet: CodeSheet) -> bytes:
    """All codes, in the order given."""
    about = _("One code for each phone. Whoever holds a code can record with it: give it to its official by hand.")
    page = page_for(sheet.about, _("Codes for phones"), more=(about,))
    height = (page.height - 1 - (ON_A_PAGE - 1) * GAP) / ON_A_PAGE
    story: list[Flowable] = []
    for number, card in enumerate(sheet.cards):
        if number:
            story.append(Spacer(0, GAP) if number % ON_A_PAGE else PageBreak())
        story.append(_Card(page, sheet, card, height))
    return page.pdf(story)


class _Card(Flowable):
    """A code at the left; who it is for and what to do at its right."""

    def __init__(self, page: Page, sheet: CodeSheet, card: CodeCard, height: float) -> None:
        super().__init__()
        self.sheet, self.card, self.width, self.height = sheet, card, page.width, height

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        canvas.saveState()
        canvas.setLineWidth(HAIRLINE)
        canvas.setDash(3, 3)
        canvas.rect(0, 0, self.width, self.height)
        canvas.restoreState()
        side = min(SIDE, self.height - ROOM_BELOW)
        renderPDF.draw(qr_code(self.card.address, side), canvas, INSET / 2, self.height - side)
        self._write(INSET + side, self.height - INSET, self.width - side - 2 * INSET, self._beside())
        self._write(INSET, self.height - side, self.width - 2 * INSET, self._below())

    def _beside(self) -> list[tuple[str, str, float, float]]:
        """Font, text, size, room above."""
        card, sheet = self.card, self.sheet
        return [
            (TEXT, " · ".join((sheet.about.event, sheet.about.date)), 8.5, 0),
            (STRONG, card.roles, 23, 3),
            (STRONG, card.pit, 14, 3),
            (TEXT, card.session, 11, 2),
            (TEXT, _("1  Point the phone's camera at the code and open the address it shows."), 10.5, 7),
            (TEXT, _("2  Type your name and press “Come in”."), 10.5, 3),
            (TEXT, _("3  Start when the page says who is up. Keep it open, and the phone dry."), 10.5, 3),
            (STRONG, _("If it does not work: write on paper, every trial, and tell the desk."), 10.5, 6),
        ]

    def _below(self) -> list[tuple[str, str, float, float]]:
        typed = _("No camera: open %(page)s and type %(typed)s") % {"page": self.card.page, "typed": self.card.typed}
        return [(TEXT, typed, 9, 0), (TEXT, _("Lets phones in until %(day)s.") % {"day": self.sheet.until}, 8.5, 1)]

    def _write(self, left: float, top: float, width: float, lines: list[tuple[str, str, float, float]]) -> None:
        text = self.canv.beginText()
        y = top
        for font, words, largest, above in lines:
            if not words:
                continue
            words = printable(words)
            large = largest > 12
            size, broken = fitted(words, font, largest, width, largest * 0.6) if large else (largest, None)
            text.setFont(font, size)
            y -= above
            for line in broken or wrapped(words, font, size, width):
                y -= size * (1.08 if large else 1)
                text.setTextOrigin(left, y)
                text.textOut(line)
                y -= size * (LEADING - 1)
        self.canv.drawText(text)
