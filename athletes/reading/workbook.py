"""The sheets of a workbook (.xlsx) as records; openpyxl is loaded only when one is read."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _

from athletes.reading.csv_file import refuse_control, refuse_width
from athletes.reading.packed import damaged, refuse_bombs
from athletes.reading.table import Broken, Formula, Unreadable, Value
from athletes.reading.writing import runs_as_formula

ROWS_OF_A_SHEET = 1_048_576
LONGEST_CELL = 2000

Record = tuple[int, list[Value]]


def sheets(name: str, data: bytes) -> Iterator[tuple[str, Iterator[Record]]]:
    """The visible sheets in order, by name. Raises Unreadable before anything large is unpacked."""
    refuse_bombs(name, data)
    import openpyxl

    try:
        # Formulas are wanted as formulas, so that their lines can be refused: their results may be stale.
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False, keep_links=False)
        visible = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]
    except Exception as problem:  # a damaged part may fail in any way
        raise Unreadable(name, damaged()) from problem
    try:
        for sheet in visible:
            yield sheet.title, _records(name, sheet)
    finally:
        book.close()


def _records(name: str, sheet: Any) -> Iterator[Record]:
    headings: list[str] = []
    sheet.reset_dimensions()  # files state wrong ones
    rows = sheet.iter_rows(max_row=ROWS_OF_A_SHEET)
    number = 0
    while True:
        try:
            row = next(rows, None)
            values = None if row is None else [_value(cell.value, cell.data_type) for cell in row]
        except Exception as problem:
            raise Unreadable(name, damaged(), line=number + 1) from problem
        if values is None:
            return
        number += 1
        refuse_width(name, number, len(values))
        if any(isinstance(value, str) and len(value) > LONGEST_CELL for value in values):
            says = _("a cell has more than %(count)s letters. Entries are shorter: empty the cell.")
            raise Unreadable(name, says % {"count": LONGEST_CELL}, line=number)
        texts = [value if isinstance(value, str) else "" for value in values]
        refuse_control(name, number, texts, headings)
        headings = headings or (texts if any(texts) else [])
        yield number, values


def _value(value: object, data_type: str) -> Value:
    if value is None:
        return ""
    if data_type == "f":
        text = str(getattr(value, "text", None) or value)
        return Formula(text if text.startswith("=") else f"={text}")
    if data_type == "e":
        return Broken(str(value))
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, int | float | date):
        return value
    text = str(value)
    if len(text) > LONGEST_CELL:
        return text
    return Formula(text.strip()) if runs_as_formula(text) else text
