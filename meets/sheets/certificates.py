"""Certificates, one a page: the name large, what was reached, and the sand with the mark in it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from athletes.paper.fonts import STRONG, TEXT, fitted, printable, width_at_one
from athletes.paper.page import PAPERS, drawn
from meets.entries.values import with_minus
from meets.sheets.for_schools import Certificate

SIDE = 22 * mm
BAND = 46 * mm
NAME, NAME_AT_LEAST = 42, 22
LEADING = 1.2
RAKE_MM = 2.6
# The drawing shows the sand from about where a beginner lands to beyond what anybody at a school jumps.
LONG_FROM_CM, LONG_UNTIL_CM = 150, 800
TRIPLE_FROM_CM, TRIPLE_UNTIL_CM = 500, 1600
RUNWAY_SHARE = 0.26


def certificates_pdf(certificates: Sequence[Certificate], paper: str = "A4") -> bytes:
    """One page for each, in their order; one that says so where there is none."""
    pages = [partial(_page, certificate=certificate, size=PAPERS[paper]) for certificate in certificates]
    return drawn(paper, _("Certificates"), pages or [partial(_nothing, size=PAPERS[paper])])


def _nothing(canvas: Canvas, size: tuple[float, float]) -> None:
    _centred(canvas, size[0] / 2, size[1] / 2, _("Nobody has earned one of the chosen certificates."), TEXT, 14)


def _page(canvas: Canvas, certificate: Certificate, size: tuple[float, float]) -> None:
    width, height = size
    middle, room = width / 2, width - 2 * SIDE
    y = height - 30 * mm
    y = _lines(canvas, middle, y, certificate.meet, STRONG, 17, room, 11)
    y = _lines(canvas, middle, y - 1 * mm, certificate.date, TEXT, 11, room, 8)
    y = _lines(canvas, middle, y - 20 * mm, certificate.name, STRONG, NAME, room, NAME_AT_LEAST)
    y = _lines(canvas, middle, y - 1 * mm, certificate.school, TEXT, 16, room, 10)
    y = _lines(canvas, middle, y - 13 * mm, certificate.event, TEXT, 17, room, 11)
    for number, honour in enumerate(certificate.honours):
        y = _lines(canvas, middle, y - 2 * mm, honour, STRONG, 27 if number == 0 else 17, room, 11)
    foot = 48 * mm
    _sand(canvas, certificate, width, foot + (y - foot - BAND) / 2)
    if certificate.provisional:
        _lines(canvas, middle, 38 * mm, certificate.provisional, STRONG, 11, room, 8)
    _signatures(canvas, width)


def _lines(
    canvas: Canvas, x: float, top: float, words: str, font: str, largest: float, room: float, smallest: float
) -> float:
    """Centred text below `top`, as large as fits; answers where it ends."""
    size, lines = fitted(printable(words), font, largest, room, smallest)
    for line in lines:
        top -= size * LEADING
        _centred(canvas, x, top, line, font, size)
    return top - size * 0.25


def _centred(canvas: Canvas, x: float, y: float, words: str, font: str, size: float) -> None:
    text = canvas.beginText(x - width_at_one(words, font) * size / 2, y)
    text.setFont(font, size)
    text.textOut(f"{words} ")
    canvas.drawText(text)


def _sand(canvas: Canvas, certificate: Certificate, width: float, bottom: float) -> None:
    """From above: runway, board, raked sand with lines at whole metres, and the mark as a stroke across it."""
    runway = width * RUNWAY_SHARE
    start, until = (TRIPLE_FROM_CM, TRIPLE_UNTIL_CM) if certificate.triple else (LONG_FROM_CM, LONG_UNTIL_CM)
    until = max(until, certificate.mark_cm + 60)
    start = min(start, max(certificate.mark_cm - 60, 0))
    scale = (width - runway) / (until - start)
    canvas.saveState()
    canvas.setLineWidth(0.25)
    canvas.setStrokeGray(0.72)
    for step in range(1, int(BAND / (RAKE_MM * mm))):
        canvas.line(runway, bottom + step * RAKE_MM * mm, width, bottom + step * RAKE_MM * mm)
    canvas.setFillGray(0.2)
    canvas.rect(0, bottom, runway, BAND, stroke=0, fill=1)
    canvas.setFillGray(1)
    canvas.rect(runway - 24 * mm, bottom, 6 * mm, BAND, stroke=0, fill=1)
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    canvas.setLineWidth(1.2)
    canvas.line(runway, bottom, runway, bottom + BAND)
    canvas.setLineWidth(0.6)
    for edge in (bottom, bottom + BAND):
        canvas.line(0, edge, width, edge)
    _metres(canvas, runway, bottom, start, until, scale)
    _stroke(canvas, certificate, runway + (certificate.mark_cm - start) * scale, bottom, width)
    canvas.restoreState()


def _metres(canvas: Canvas, runway: float, bottom: float, start: int, until: int, scale: float) -> None:
    for metre in range(start // 100 + 1, (until - 1) // 100 + 1):
        x = runway + (metre * 100 - start) * scale
        canvas.setLineWidth(0.5)
        canvas.line(x, bottom, x, bottom + 3 * mm)
        if metre % 2 == 0 or until - start < 800:
            _centred(canvas, x, bottom - 4 * mm, _("%(metre)d m") % {"metre": metre}, TEXT, 8)


def _stroke(canvas: Canvas, certificate: Certificate, x: float, bottom: float, width: float) -> None:
    """The mark stands beside its stroke, on the side where there is room, on a ground of its own."""
    canvas.setLineWidth(3.2)
    canvas.line(x, bottom + 5 * mm, x, bottom + BAND - 2 * mm)
    mark, size = printable(certificate.mark), 30
    wide = width_at_one(mark, STRONG) * size
    left = x + 4 * mm if x + wide + 8 * mm < width - 6 * mm else x - wide - 4 * mm
    canvas.setFillGray(1)
    canvas.rect(left - 1.5 * mm, bottom + 11 * mm, wide + 3 * mm, 24 * mm, stroke=0, fill=1)
    canvas.setFillGray(0)
    canvas.setFont(STRONG, size)
    canvas.drawString(left, bottom + 20 * mm, mark)
    if certificate.wind:
        canvas.setFont(TEXT, 11)
        canvas.drawString(left, bottom + 14 * mm, printable(with_minus(certificate.wind)))


def _signatures(canvas: Canvas, width: float) -> None:
    canvas.setLineWidth(0.5)
    room = (width - 2 * SIDE - 20 * mm) / 2
    for number, who in enumerate((_("for the meet"), _("referee"))):
        x = SIDE + number * (room + 20 * mm)
        canvas.line(x, 22 * mm, x + room, 22 * mm)
        _centred(canvas, x + room / 2, 17.5 * mm, printable(who), TEXT, 8.5)
