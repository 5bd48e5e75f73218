"""A series table from a CSV file: bytes in, cells with their line out, or a refusal that names line and column."""

from __future__ import annotations

import csv
import io
import sys
import unicodedata
from collections.abc import Iterator
from pathlib import Path

from scoring.series_table import NotATable, columns

MOST_BYTES = 5 * 1024 * 1024
MOST_LINES = 20_000
DELIMITERS = ",;\t"
CSV_EXPECTED = "a CSV file in UTF-8"
CELL_EXPECTED = f"quotes in pairs and at most {csv.field_size_limit()} characters"
PLAIN_SPACE = "\t\r\n"

Records = Iterator[tuple[int, dict[str, str]]]


def read_bytes(name: str) -> bytes:
    """The file, or the standard input for `-`. Raises OSError, and NotATable when it is too big."""
    if name == "-":
        content = sys.stdin.buffer.read(MOST_BYTES + 1)
    else:
        with Path(name).open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    if len(content) > MOST_BYTES:
        raise NotATable("more than 5 MB", expected="at most 5 MB")
    return content


def read_table(content: bytes) -> tuple[tuple[str, ...], Records]:
    """The heading's columns, and each line below it as (line number, cells by column).

    Lines starting `#` and blank lines are left out. Commas, semicolons or tabs; UTF-8 with or without its mark.
    The lines come one at a time, and so do their refusals: all at once they would fill the memory.
    """
    if content.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise NotATable("a workbook", expected=f"{CSV_EXPECTED}: save the sheet as CSV", where="line 1")
    # Bytes that are no UTF-8 are carried along, so that the refusal can name the cell they are in.
    text = content.decode("utf-8-sig", errors="surrogateescape")
    records = _records(text)
    first, heading = next(records, (0, []))
    if not heading:
        raise NotATable("an empty file", expected="a heading with the columns code and t1", where="line 1")
    _check_characters(first, [str(n) for n in range(1, len(heading) + 1)], heading)
    names = columns(heading, first)
    return names, _rows(first, names, records)


def _rows(first: int, names: tuple[str, ...], records: Iterator[tuple[int, list[str]]]) -> Records:
    line = 0
    for line, cells in records:
        yield line, _cells(line, names, cells)
    if not line:
        expected = "at least one athlete under the heading"
        raise NotATable("no line", expected=expected, where=f"line {first + 1}, column code")


def _records(text: str) -> Iterator[tuple[int, list[str]]]:
    """Records with the line they start on. A `#` comments a line out only where a record would start."""
    lines = iter(io.StringIO(text, newline=""))
    taken = 0
    inside = False

    def fed() -> Iterator[str]:
        nonlocal taken, inside
        for line in lines:
            taken += 1
            if taken > MOST_LINES + 1:
                raise NotATable(
                    "a longer file", expected=f"at most {MOST_LINES} lines under the heading", where=f"line {taken}"
                )
            if inside or not line.lstrip(" ").startswith("#"):
                inside = True
                yield line
            else:
                _check_characters(taken, ("1",), [line])

    reader = csv.reader(fed(), delimiter=_delimiter(text), strict=True)
    heading_seen = False
    while True:
        inside, before = False, reader.line_num
        try:
            cells = next(reader, None)
        except csv.Error as problem:
            where = f"line {_start(taken, reader.line_num, before)}, column 1"
            raise NotATable("a cell", expected=CELL_EXPECTED, where=where) from problem
        if cells is None:
            return
        if not any(cell.strip() for cell in cells):
            continue
        if cells[0].startswith("#") and not (heading_seen and any(cell.strip() for cell in cells[1:])):
            continue  # a comment line that a spreadsheet has put in quotes
        heading_seen = True
        yield _start(taken, reader.line_num, before), cells


def _start(taken: int, lines_read: int, before: int) -> int:
    """The file's line on which the record just read began; a quoted cell may span lines."""
    return taken - max(lines_read - before - 1, 0)


def _delimiter(text: str) -> str:
    heading = next((line for line in io.StringIO(text) if line.strip() and not line.startswith(("#", '"#'))), "")
    return max(DELIMITERS, key=heading.count)


def _cells(line: int, names: tuple[str, ...], cells: list[str]) -> dict[str, str]:
    while len(cells) > len(names) and not cells[-1].strip():
        cells = cells[:-1]
    if len(cells) > len(names):
        where = f"line {line}, column {len(names) + 1}"
        raise NotATable(cells[len(names)], expected=f"at most {len(names)} cells, as in the heading", where=where)
    _check_characters(line, names, cells)
    for number, (name, cell) in enumerate(zip(names, cells, strict=False), 1):
        if not name and cell.strip():
            where = f"line {line}, column {number}"
            raise NotATable(cell, expected="nothing in a column without a heading", where=where)
    filled = [*cells, *[""] * (len(names) - len(cells))]
    return {name: cell for name, cell in zip(names, filled, strict=True) if name}


def _check_characters(line: int, names: list[str] | tuple[str, ...], cells: list[str]) -> None:
    for name, cell in zip(names, cells, strict=False):
        for character in cell:
            if "\udc80" <= character <= "\udcff":
                byte = f"byte 0x{ord(character) - 0xDC00:02x}"
                raise NotATable(byte, expected="text in UTF-8", where=f"line {line}, column {name}")
            if unicodedata.category(character) == "Cc" and character not in PLAIN_SPACE:
                shown = f"character U+{ord(character):04X}"
                expected = "text without control characters"
                raise NotATable(shown, expected=expected, where=f"line {line}, column {name}")
