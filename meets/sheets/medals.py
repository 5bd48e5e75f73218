"""The medal table by school on a sheet of its own."""

from __future__ import annotations

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.platypus import Spacer

from athletes.paper.parts import Sentence
from athletes.paper.ruled import Column, Row, Ruled
from meets.sheets.for_schools import MedalTable
from meets.sheets.heading import page_for

FIGURE = 21 * mm


def medals_pdf(sheet: MedalTable) -> bytes:
    """Firsts, seconds and thirds of every school; what they are counted from stands below."""
    page = page_for(sheet.about, _("Medal table"))
    columns = [
        Column(_("Place"), 14 * mm, "right", size=12, strong=True),
        Column(_("School"), page.width - 14 * mm - 4 * FIGURE, size=11),
        *(Column(title, FIGURE, "right", size=12) for title in (_("Firsts"), _("Seconds"), _("Thirds"))),
        Column(_("All"), FIGURE, "right", size=12, strong=True),
    ]
    rows: list[Row] = [
        (line.place, line.school, *(str(count) for count in (line.firsts, line.seconds, line.thirds, line.total)))
        for line in sheet.lines
    ]
    return page.pdf(
        [
            Sentence("", page.width, lead=sheet.status, size=10.5),
            Spacer(0, 1 * mm),
            Ruled(columns, rows, row_height=9 * mm),
            Spacer(0, 3 * mm),
            *(Sentence(note, page.width, size=8.5) for note in sheet.notes),
        ]
    )
