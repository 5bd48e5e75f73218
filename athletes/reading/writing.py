"""CSV that is safe to open: no cell of an export is ever run as a formula."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import date

SIGNED_NUMBER = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?")
PARTS_CELLS_ELSEWHERE = re.compile(r"([;\t\r\n])")
STARTS_A_FORMULA = frozenset("=+-@")
BYTE_ORDER_MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"


def runs_as_formula(text: str) -> bool:
    """Whether a spreadsheet may run this text. A signed number and a lone `-` are what they look like."""
    tidy = text.strip()
    if not tidy or tidy == "-" or SIGNED_NUMBER.fullmatch(tidy):
        return False
    # Some spreadsheets take the full-width signs for the plain ones.
    return unicodedata.normalize("NFKC", tidy[0]) in STARTS_A_FORMULA


def safe_cell(value: object) -> object:
    """A cell for any export: text that could be run, or starts with tab or CR, gets a leading apostrophe.

    So does what follows a semicolon, a tab or a line break: where those part the cells, the rest is a cell of its own.

    >>> safe_cell("=1+1"), safe_cell("-0.3"), safe_cell("Vale; =1+1")
    ("'=1+1", '-0.3', "Vale;' =1+1")
    """
    if not isinstance(value, str):
        return value
    parts = PARTS_CELLS_ELSEWHERE.split(value)
    safe = "".join(f"'{part}" if runs_as_formula(part) else part for part in parts)
    return f"'{safe}" if value[:1] in ("\t", "\r") else safe


def csv_text(headings: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A CSV with byte-order mark and CRLF, which spreadsheets open with the right letters."""
    out = io.StringIO(newline="")
    out.write(BYTE_ORDER_MARK)
    writer = csv.writer(out)
    writer.writerow([safe_cell(heading) for heading in headings])
    for row in rows:
        writer.writerow([safe_cell(cell.isoformat() if isinstance(cell, date) else cell) for cell in row])
    return out.getvalue()
