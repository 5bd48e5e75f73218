"""The sheets of a workbook (.xlsx) as records; openpyxl is loaded only when one is read."""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _

from athletes.reading.csv_file import refuse_control
from athletes.reading.table import Broken, Formula, Unreadable, Value
from athletes.reading.writing import runs_as_formula

UNPACKED_BYTES = 40 * 1024 * 1024
PARTS = 2000
ROWS_OF_A_SHEET = 1_048_576
COLUMNS = 1000

Record = tuple[int, list[Value]]


def sheets(name: str, data: bytes) -> Iterator[tuple[str, Iterator[Record]]]:
    """The visible sheets in order, by name. Raises Unreadable before anything large is unpacked."""
    _refuse_bombs(name, data)
    import openpyxl

    with warnings.catch_warnings():
        # It warns of styles and validations that it leaves out; nothing of them is read here.
        warnings.simplefilter("ignore")
        try:
            # Formulas are wanted as formulas, so that their lines can be refused: their results may be stale.
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False, keep_links=False)
            visible = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]
        except Exception as problem:  # a damaged part may fail in any way
            raise Unreadable(name, _damaged()) from problem
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
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                row = next(rows, None)
                values = None if row is None else [_value(cell.value, cell.data_type) for cell in row]
        except Exception as problem:
            raise Unreadable(name, _damaged(), line=number + 1) from problem
        if values is None:
            return
        number += 1
        if len(values) > COLUMNS:
            raise Unreadable(name, _("more than %(count)s columns.") % {"count": COLUMNS}, line=number)
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
    text = str(value).replace("\r\n", "\n")
    return Formula(text.strip()) if runs_as_formula(text) else text


def _refuse_bombs(name: str, data: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = packed.infolist()
            names = {part.filename for part in parts}
            if "xl/workbook.xml" not in names:
                raise Unreadable(name, _("this is a packed file but no workbook. Send the .xlsx or .csv file itself."))
            # A part never unpacks to more than it states here: the reader stops at that size.
            if len(parts) > PARTS or sum(part.file_size for part in parts) > UNPACKED_BYTES:
                raise Unreadable(
                    name,
                    _("the workbook unpacks to more than %(size)s MB. Copy the entries alone to a new workbook.")
                    % {"size": UNPACKED_BYTES // (1024 * 1024)},
                )
            for part in parts:
                if part.filename.endswith((".xml", ".rels")) and _declares_entities(packed.read(part)):
                    raise Unreadable(name, _damaged())
    except Unreadable:
        raise
    except Exception as problem:  # a broken archive fails in many ways: BadZipFile, zlib, lzma, struct, password
        raise Unreadable(name, _damaged()) from problem


def _declares_entities(xml: bytes) -> bool:
    """No workbook part has a document type; one that has may grow without end when it is read."""
    return any("<!DOCTYPE".encode(code) in xml for code in ("utf-8", "utf-16-le", "utf-16-be"))


def _damaged() -> str:
    return _(
        'the workbook is damaged or locked with a password. Save it again as .xlsx without one, or as "CSV UTF-8".'
    )
