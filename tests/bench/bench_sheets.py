"""A result sheet of 24 athletes against one bare platypus table of the same cells in the same two faces."""

import io
import statistics
from collections.abc import Callable
from functools import partial

from tests.bench.clock import SMOKE, median_s, say
from tests.bench.floor_sheet import bare_table


def bare_table_of(sheet) -> bytes:
    """The rows of our sheet in one platypus table: strings, trials and names with a second line as on the sheet."""
    from reportlab.lib import colors
    from reportlab.platypus import SimpleDocTemplate, Table, TableStyle

    from athletes.paper.fonts import STRONG, TEXT

    rounds = range(sheet.rounds)
    head = ["Place", "Bib", "Name, school", *(f"Trial {number + 1}" for number in rounds), "Best", "Points"]
    rows = [head]
    for line in sheet.lines:
        series = (*line.series, *((("", ""),) * sheet.rounds))[: sheet.rounds]
        cells = [line.place, line.bib, f"{line.name}\n{line.school}", *(f"{trial}\n{wind}" for trial, wind in series)]
        rows.append([*cells, f"{line.best}\n{line.best_wind}", line.points])
    style = TableStyle(
        [
            ("LINEBELOW", (0, 0), (-1, -1), 0.4, colors.black),
            ("FONT", (0, 0), (-1, -1), TEXT, 8),
            ("FONT", (0, 0), (-1, 0), STRONG, 7),
            ("FONT", (-2, 1), (-2, -1), STRONG, 9),
            ("ALIGN", (3, 0), (-1, -1), "RIGHT"),
            ("TOPPADDING", (0, 0), (-1, -1), 1),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
        ]
    )
    widths = [28, 31, 150, *[37] * sheet.rounds, 51, 28]
    written = io.BytesIO()
    document = SimpleDocTemplate(written, pagesize=(595, 842), leftMargin=24, rightMargin=24, pageCompression=1)
    document.build([Table(rows, colWidths=widths, rowHeights=22, style=style, repeatRows=1)])
    return written.getvalue()


def main() -> None:
    import django

    django.setup()
    from athletes.paper.fonts import TEXT, use_fonts
    from meets.sheets.result_sheet import result_sheet_pdf
    from tests.meets.sheets.made_up import result
    from tests.meets.sheets.reading import words

    use_fonts()
    sheet = result(24)
    ours, bare = words(result_sheet_pdf(sheet)), words(bare_table_of(sheet))
    assert all(line.name in text and line.best in text for line in sheet.lines for text in (ours, bare))
    ours = partial(result_sheet_pdf, sheet)
    for what, floor in (
        ("same cells and faces", partial(bare_table_of, sheet)),
        ("plain strings in one face", partial(bare_table, TEXT)),
        ("names as paragraphs", partial(bare_table, TEXT, (2, 3))),
    ):
        say(f"result sheet of 24, {what}", *in_turn(ours, floor), limit=1.6)


def in_turn(ours: Callable[[], object], floor: Callable[[], object]) -> tuple[float, float]:
    """Median times of both, called in turn: what else the machine does falls on both alike."""
    rounds = 3 if SMOKE else 80
    taken = [(median_s(ours, 0, 1), median_s(floor, 0, 1)) for _ in range(rounds)]
    return statistics.median(own for own, _ in taken), statistics.median(bare for _, bare in taken)


if __name__ == "__main__":
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "meets.settings")
    main()
