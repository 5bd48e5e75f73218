"""A QR code as a part of a page, drawn by ReportLab, and the same on a screen."""

from __future__ import annotations

from itertools import groupby

from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.pdfgen.canvas import Canvas

LEVEL, BORDER = "Q", 4


def qr_code(text: str, side: float) -> Drawing:
    """A square of `side` points, quiet zone included; a quarter of it may be wet or torn and it still reads."""
    widget = QrCodeWidget(text, barLevel=LEVEL, barWidth=side, barHeight=side, barBorder=BORDER)
    return Drawing(side, side, widget)


def draw_qr(canvas: Canvas, text: str, left: float, bottom: float, side: float) -> None:
    """The same code as one path, its squares joined along each row: many times faster than one shape for each."""
    code = QrCodeWidget(text, barLevel=LEVEL).qr
    code.make()
    many = code.getModuleCount()
    step = side / (many + 2 * BORDER)
    path = canvas.beginPath()
    for down in range(many):
        dark = [code.isDark(down, across) for across in range(many)]
        for is_dark, squares in groupby(range(many), key=dark.__getitem__):
            if is_dark:
                run = list(squares)
                y = bottom + side - (down + BORDER + 1) * step
                path.rect(left + (run[0] + BORDER) * step, y, len(run) * step, step)
    canvas.drawPath(path, stroke=0, fill=1)


def qr_path(text: str) -> tuple[int, str]:
    """The dark squares as the path of an SVG, one unit each, and how many units a side has with its quiet zone.

    ReportLab's own SVG colours by style attributes, which a page that forbids inline style does not show.
    """
    code = QrCodeWidget(text, barLevel=LEVEL).qr
    code.make()
    rows = range(code.getModuleCount())
    path = "".join(f"M{x + BORDER} {y + BORDER}h1v1h-1z" for y in rows for x in rows if code.isDark(y, x))
    return len(rows) + 2 * BORDER, path
