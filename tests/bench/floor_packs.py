"""Floor of packs: the same pages as bare platypus tables of ready strings, in the same two faces."""

import io
from collections.abc import Iterable

MARGIN = 28


def bare_packs(packs: Iterable[list[list[list[str]]]]) -> list[bytes]:
    """Each pack as a document of tables: a heading line, then rows of ready cells."""
    return [bare_pack(tables) for tables in packs]


def bare_pack(tables: list[list[list[str]]]) -> bytes:
    from reportlab.lib import colors
    from reportlab.platypus import SimpleDocTemplate, Spacer, Table, TableStyle

    from athletes.paper.fonts import STRONG, TEXT

    style = TableStyle(
        [
            ("LINEBELOW", (0, 0), (-1, -1), 0.4, colors.black),
            ("FONT", (0, 0), (-1, -1), TEXT, 8),
            ("FONT", (0, 0), (-1, 0), STRONG, 7),
            ("TOPPADDING", (0, 0), (-1, -1), 1),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
        ]
    )
    story: list[object] = []
    for rows in tables:
        story += [Table(rows, colWidths=widths(rows), style=style, repeatRows=1), Spacer(0, 12)]
    written = io.BytesIO()
    SimpleDocTemplate(written, pagesize=(595, 842), leftMargin=MARGIN, rightMargin=MARGIN, pageCompression=1).build(
        story
    )
    return written.getvalue()


def widths(rows: list[list[str]]) -> list[float]:
    """The column of names twice as wide as the others."""
    count = len(rows[0])
    each = (595 - 2 * MARGIN) / (count + 2)
    return [each * (3 if number == min(2, count - 1) else 1) for number in range(count)]


def cells_of(sheet) -> list[list[list[str]]]:
    """What stands in a pack, table by table, as ready strings."""
    front = [["Place", "Bib", "Name", "Mark", "Wind, signs, points"]]
    for event in sheet.events:
        front.append(["", "", event.name, "", event.status])
        for line in event.lines:
            beside = " · ".join(part for part in (line.wind, line.signs, line.points) if part)
            name = "\n".join((line.name, " · ".join(line.notes))) if line.notes else line.name
            front.append([line.place, line.bib, name, line.mark, beside])
    tables = [
        front,
        *(result_cells(event.series) for event in sheet.events),
        *(result_cells(one) for one in sheet.results),
    ]
    if sheet.standings:
        teams = sheet.standings
        tables.append(
            [["Place", "School", *teams.events, "Total"]]
            + [[line.place, line.school, *line.points, line.total] for line in teams.lines]
        )
    return tables


def result_cells(sheet) -> list[list[str]]:
    rounds = range(1, sheet.rounds + 1)
    rows = [["Place", "Bib", "Name, school", *(f"Trial {number}" for number in rounds), "Best", "Points"]]
    for line in sheet.lines:
        series = (*line.series, *((("", ""),) * sheet.rounds))[: sheet.rounds]
        trials = [f"{trial}\n{wind}" for trial, wind in series]
        best = f"{line.best}\n{line.best_wind}"
        rows.append([line.place, line.bib, f"{line.name}\n{line.school}", *trials, best, line.points])
    return rows
