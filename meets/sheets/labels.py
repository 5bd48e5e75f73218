"""Sheets of adhesive labels: for certificates that are printed already, and for envelopes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from athletes.paper.fonts import STRONG, TEXT, fitted, printable
from athletes.paper.page import PAPERS, drawn
from meets.sheets.for_schools import LabelSheet

INSIDE = 2.5 * mm
LEADING = 1.18
SMALLEST = 5.5
Label = Sequence[str]
"""Lines of a label, the first one large."""


def problem_with(sheet: LabelSheet) -> str:
    """Why labels of these sizes cannot be printed; '' if they can."""
    width, height = (side / mm for side in PAPERS[sheet.paper])
    across = sheet.left + sheet.columns * sheet.width + (sheet.columns - 1) * sheet.gap_across
    down = sheet.top + sheet.rows * sheet.height + (sheet.rows - 1) * sheet.gap_down
    for needs, has, words in (
        (across, width, _("The labels are %(needs).1f mm wide together, and the paper %(has).1f mm.")),
        (down, height, _("The labels are %(needs).1f mm high together, and the paper %(has).1f mm.")),
    ):
        if needs > has + 0.5:
            return words % {"needs": needs, "has": has}
    if sheet.skip >= sheet.rows * sheet.columns:
        return _("A sheet has %(count)d labels: fewer of them can be used already.") % {
            "count": sheet.rows * sheet.columns
        }
    return ""


def labels_pdf(labels: Sequence[Label], sheet: LabelSheet) -> bytes:
    """In their order, line by line. Raises ValueError with a sentence where the sizes do not fit the paper."""
    if problem := problem_with(sheet):
        raise ValueError(problem)
    cells: list[Label] = [*[()] * sheet.skip, *labels]
    each = sheet.rows * sheet.columns
    pages: list[Callable[[Canvas], None]] = [
        partial(_page, cells=cells[first : first + each], sheet=sheet) for first in range(0, max(len(cells), 1), each)
    ]
    return drawn(sheet.paper, _("Labels"), pages)


def _page(canvas: Canvas, cells: Sequence[Label], sheet: LabelSheet) -> None:
    top = PAPERS[sheet.paper][1]
    for number, label in enumerate(cells):
        row, column = divmod(number, sheet.columns)
        x = (sheet.left + column * (sheet.width + sheet.gap_across)) * mm
        y = top - (sheet.top + row * (sheet.height + sheet.gap_down)) * mm
        if label:
            _label(canvas, label, x, y, sheet.width * mm, sheet.height * mm)


def _label(canvas: Canvas, label: Label, x: float, top: float, width: float, height: float) -> None:
    """The lines in the middle of the height, all smaller together until they fit."""
    room, scale = width - 2 * INSIDE, 1.0
    while True:
        laid = list(_laid(label, room, scale))
        needed = sum(size * LEADING for _words, _font, size in laid)
        if needed <= height - 2 * INSIDE or scale < 0.4:
            break
        scale *= 0.92
    y = top - (height - needed) / 2
    text = canvas.beginText()
    for words, font, size in laid:
        y -= size * LEADING
        text.setFont(font, size)
        text.setTextOrigin(x + INSIDE, y + size * 0.22)
        text.textOut(f"{words} ")
    canvas.drawText(text)


def _laid(label: Label, room: float, scale: float):
    for number, words in enumerate(part for part in label if part):
        font, size = (STRONG, 13 * scale) if number == 0 else (TEXT, 9.5 * scale)
        size, lines = fitted(printable(words), font, size, room, max(size * 0.75, SMALLEST * scale))
        for line in lines:
            yield line, font, size
