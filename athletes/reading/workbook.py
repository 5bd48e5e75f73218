"""The sheets of a workbook (.xlsx) as records; openpyxl is loaded only when one is read."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _

from athletes.reading.csv_file import refuse_control, refuse_width
from athletes.reading.packed import damaged, scan
from athletes.reading.sheet_rows import ROWS_OF_A_SHEET, SheetRows
from athletes.reading.table import Broken, Formula, Unreadable, Value
from athletes.reading.writing import runs_as_formula

LONGEST_CELL = 2000

Record = tuple[int, list[Value]]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of a workbook. `hidden_rows`: their numbers, those without content too."""

    title: str
    is_hidden: bool
    hidden_rows: frozenset[int]
    records: Iterator[Record]


def sheets(name: str, data: bytes) -> Iterator[Sheet]:
    """The sheets in order. Raises Unreadable before anything large is unpacked."""
    rows_of = scan(name, data)
    import openpyxl

    try:
        # Formulas are wanted as formulas, so that their lines can be refused: their results may be stale.
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False, keep_links=False)
        found = [(sheet, rows_of[sheet._worksheet_path]) for sheet in book.worksheets]
    except Exception as problem:  # a damaged part may fail in any way
        raise Unreadable(name, damaged()) from problem
    try:
        for sheet, rows in found:
            hidden = sheet.sheet_state != "visible"
            yield Sheet(sheet.title, hidden, frozenset(rows.hidden), _records(name, sheet, rows))
    finally:
        book.close()


def _records(name: str, sheet: Any, rows_of: SheetRows) -> Iterator[Record]:
    if rows_of.fault is not None:
        row, column, says = rows_of.fault
        raise Unreadable(name, says, line=row, column=column)
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
