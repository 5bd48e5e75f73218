"""Floor of a printed result sheet: 24 athletes x 14 cells in one bare platypus table, grid and heading, on one page.

`font` is a registered font; `paragraphs` says which columns hold paragraphs, as names outside Latin need them.
"""

import io
from collections.abc import Collection

HEAD = ["Pl", "Bib", "Name", "School", "Yr", "T1", "T2", "T3", "T4", "T5", "T6", "Best", "Wind", "Pts"]
WIDTHS = [24, 32, 130, 120, 24, *[48] * 6, 48, 40, 30]
ROWS = [
    [str(i + 1), str(100 + i), f"Athlete Number {i}", f"School of Town {i % 8}", str(9 + i % 4)]
    + [("x" if (i + j) % 4 == 0 else f"{5.60 - i * 0.04 - j * 0.01:.2f}") for j in range(6)]
    + [f"{5.60 - i * 0.04:.2f}", f"+{i % 3}.{i % 10}", str(max(0, 10 - i))]
    for i in range(24)
]


def bare_table(font: str = "Helvetica", paragraphs: Collection[int] = (), pages: int = 1) -> bytes:
    """The document as bytes."""
    from reportlab.lib import colors
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import PageBreak, Paragraph, SimpleDocTemplate, Table, TableStyle

    words = ParagraphStyle("words", fontName=font, fontSize=8, leading=10)
    heading = ParagraphStyle("heading", fontName=font, fontSize=14, leading=17)
    style = TableStyle(
        [
            ("GRID", (0, 0), (-1, -1), 0.4, colors.black),
            ("FONT", (0, 0), (-1, -1), font, 8),
            ("ALIGN", (0, 0), (1, -1), "RIGHT"),
            ("ALIGN", (4, 0), (-1, -1), "RIGHT"),
            ("TOPPADDING", (0, 0), (-1, -1), 1),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
        ]
    )
    story: list[object] = []
    for page in range(pages):
        cells = [
            [Paragraph(cell, words) if column in paragraphs else cell for column, cell in enumerate(row)]
            for row in ROWS
        ]
        story += [
            Paragraph("Boys long jump, U15", heading),
            Paragraph("District meet, 12 June", words),
            Table([HEAD, *cells], colWidths=WIDTHS, rowHeights=17, style=style, repeatRows=1),
        ]
        if page < pages - 1:
            story.append(PageBreak())
    written = io.BytesIO()
    margins = {"leftMargin": 24, "rightMargin": 24, "topMargin": 30, "bottomMargin": 30}
    SimpleDocTemplate(written, pagesize=(842, 595), pageCompression=1, **margins).build(story)
    return written.getvalue()
