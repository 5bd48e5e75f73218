"""A QR code as a part of a page, drawn by ReportLab."""

from __future__ import annotations

from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing


def qr_code(text: str, side: float) -> Drawing:
    """A square of `side` points, quiet zone included; a quarter of it may be wet or torn and it still reads."""
    widget = QrCodeWidget(text, barLevel="Q", barWidth=side, barHeight=side, barBorder=4)
    return Drawing(side, side, widget)
