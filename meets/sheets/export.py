"""An event's result as a table for spreadsheets."""

from __future__ import annotations

from django.utils.translation import gettext as _

from athletes.reading.writing import csv_text
from meets.sheets.documents import ResultSheet


def result_csv(sheet: ResultSheet) -> str:
    """One line for each entry, trials and winds in columns of their own. No cell is ever run as a formula."""
    rounds = range(1, sheet.rounds + 1)
    # Places are those of each class. The column is there only where it tells lines apart.
    in_classes = any(line.klass for line in sheet.lines)
    headings = [
        _("Event"), *([_("Class")] if in_classes else []),
        _("Place"), _("Bib"), _("Name"), _("School"), _("String"), _("Year"),
        _("Best"), _("Wind"), _("Best legal"), _("Wind of best legal"),
        *(heading for number in rounds for heading in (f"T{number}", f"W{number}")),
        _("Points"), _("Signs"),
    ]  # fmt: skip
    rows = []
    for line in sheet.lines:
        series = (*line.series, *((("", ""),) * sheet.rounds))[: sheet.rounds]
        rows.append(
            [
                sheet.about.event, *([line.klass] if in_classes else []),
                line.place, line.bib, line.name, line.school, line.string, line.year_group,
                line.best, line.best_wind, line.legal, line.legal_wind,
                *(cell for trial in series for cell in trial),
                line.points, " ".join(line.marks),
            ]
        )  # fmt: skip
    return csv_text(headings, rows)
