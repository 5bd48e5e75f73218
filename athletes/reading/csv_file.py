"""The text of a CSV file as records, each with the number of its first line."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator

from django.utils.translation import gettext as _

from athletes.reading.table import Formula, Unreadable, Value
from athletes.reading.writing import runs_as_formula

DELIMITERS = (",", ";", "\t")
LINES_TO_LOOK_AT = 10
MOST_COLUMNS = 256
# Of a line with so many delimiters not even the cells are made, quoted or not: they would fill the memory.
FAR_TOO_MANY = 10_000
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
NAMES_ITS_DELIMITER = re.compile(r"sep=(.)", re.IGNORECASE)


def records(name: str, data: bytes) -> Iterator[tuple[int, list[Value]]]:
    """Every record with its line number. Raises Unreadable."""
    text = _decoded(name, data)
    delimiter, start = _delimiter(text)
    has_control = CONTROL.search(text) is not None
    # Without newline="" a lone CR would end no line.
    # Empty lines at the end are cut off: somebody's file had millions of them.
    lines = io.StringIO(text.rstrip("\r\n"), newline="")
    reader = csv.reader(_not_too_wide(name, lines, delimiter), delimiter=delimiter, strict=True)
    headings: list[str] = []
    line = 1
    while True:
        try:
            record = next(reader)
        except StopIteration:
            return
        except csv.Error as problem:
            raise Unreadable(name, _quotes_or_size(problem), line=line) from problem
        if line >= start:
            refuse_width(name, line, len(record))
            if has_control:
                refuse_control(name, line, record, headings)
            if not headings and any(record):
                headings = record
            yield line, [Formula(cell.strip()) if runs_as_formula(cell) else cell for cell in record]
        line = reader.line_num + 1


def _not_too_wide(name: str, lines: Iterable[str], delimiter: str) -> Iterator[str]:
    for number, line in enumerate(lines, 1):
        signs = line.count(delimiter) if len(line) > FAR_TOO_MANY else 0
        if signs > FAR_TOO_MANY:
            refuse_width(name, number, signs)
        yield line


def refuse_width(name: str, line: int, columns: int) -> None:
    """Raise Unreadable for a line of more columns than entries can have."""
    if columns > MOST_COLUMNS:
        says = _("more than %(count)s columns. Send the columns of the entries alone.")
        raise Unreadable(name, says % {"count": MOST_COLUMNS}, line=line)


def refuse_control(name: str, line: int, record: list[str], headings: list[str]) -> None:
    """Raise Unreadable for the first cell with a character that no text has."""
    for index, cell in enumerate(record):
        if found := CONTROL.search(cell):
            column = headings[index].strip() if index < len(headings) and headings[index].strip() else str(index + 1)
            raise Unreadable(
                name,
                _(
                    "the cell holds a control character (%(code)s), which no text has. "
                    "Type the cell again, or save the file again from your spreadsheet."
                )
                % {"code": f"U+{ord(found[0]):04X}"},
                line=line,
                column=CONTROL.sub("\N{REPLACEMENT CHARACTER}", column),
            )


def _quotes_or_size(problem: csv.Error) -> str:
    if "limit" in str(problem):
        return _("a cell that starts here is far too long. Is a quotation mark missing at its end?")
    return _(
        "a quotation mark that is opened from here on is not closed, or something follows the closing one. "
        "Remove the mark, or save the file again from your spreadsheet."
    )


def _decoded(name: str, data: bytes) -> str:
    if data.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        encoding = "utf-32"
    elif data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encoding = "utf-16"
    else:
        encoding = "utf-8-sig"
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as problem:
        start = problem.start + (3 if encoding == "utf-8-sig" and data.startswith(codecs.BOM_UTF8) else 0)
        line, column = _where(data, start) if encoding == "utf-8-sig" else (None, "")
        raise Unreadable(
            name,
            _(
                "this is not UTF-8 text; the file was saved in an older encoding, in which letters such as é or Ł "
                'would be lost. Save it as "CSV UTF-8", or send the workbook itself (.xlsx).'
            ),
            line=line,
            column=column,
        ) from problem


def _where(data: bytes, position: int) -> tuple[int, str]:
    """Line and column of a byte, by the delimiters before it."""
    before = re.split(rb"\r\n|\r|\n", data[:position])
    first = re.split(rb"\r\n|\r|\n", data, maxsplit=1)[0].decode("utf-8-sig", "replace")
    delimiter, _start = _delimiter(first)
    index = before[-1].count(delimiter.encode())
    headings = first.split(delimiter)
    heading = headings[index].strip('" ') if len(before) > 1 and index < len(headings) else ""
    return len(before), CONTROL.sub("\N{REPLACEMENT CHARACTER}", heading) or str(index + 1)


def _delimiter(text: str) -> tuple[str, int]:
    """The delimiter that makes most of the first lines, and the line to start from."""
    first = io.StringIO(text, newline=None)
    lines = [line.rstrip("\n") for _n, line in zip(range(LINES_TO_LOOK_AT), first, strict=False)]
    if lines and (stated := NAMES_ITS_DELIMITER.fullmatch(lines[0].strip())) and stated[1] in DELIMITERS:
        return stated[1], 2
    outside_quotes = [re.sub(r'"[^"]*"', "", line) for line in lines]
    return max(DELIMITERS, key=lambda sign: _steadiness([line.count(sign) for line in outside_quotes])), 1


def _steadiness(counts: list[int]) -> tuple[int, int]:
    """How many lines have the same number of a sign, and that number: a decimal comma is not in the headings."""
    lines_with = Counter(count for count in counts if count)
    return max(((lines, count) for count, lines in lines_with.items()), default=(0, 0))
