"""A QR code as a part of a page, drawn by ReportLab, and the same on a screen."""

from __future__ import annotations

from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing

LEVEL, BORDER = "Q", 4


def qr_code(text: str, side: float) -> Drawing:
    """A square of `side` points, quiet zone included; a quarter of it may be wet or torn and it still reads."""
    widget = QrCodeWidget(text, barLevel=LEVEL, barWidth=side, barHeight=side, barBorder=BORDER)
    return Drawing(side, side, widget)


def qr_path(text: str) -> tuple[int, str]:
    """The dark squares as the path of an SVG, one unit each, and how many units a side has with its quiet zone.

    ReportLab's own SVG colours by style attributes, which a page that forbids inline style does not show.
    """
    code = QrCodeWidget(text, barLevel=LEVEL).qr
    code.make()
    rows = range(code.getModuleCount())
    path = "".join(f"M{x + BORDER} {y + BORDER}h1v1h-1z" for y in rows for x in rows if code.isDark(y, x))
    return len(rows) + 2 * BORDER, path
