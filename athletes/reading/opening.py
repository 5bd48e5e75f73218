"""From uploaded bytes to a table, or a clear refusal. What a file is, its content says, not its name."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from athletes.reading.csv_file import records as csv_records
from athletes.reading.names import folded, tidy_text
from athletes.reading.table import Line, Table, Unreadable, Value, shown, without_empty_end
from athletes.reading.workbook import Sheet, sheets

LARGEST_BYTES = 5 * 1024 * 1024
MOST_LINES = 20_000
# People put a title above the headings; further down than this nobody does.
HEADINGS_WITHIN = 10
# So many hidden lines are called by their numbers.
MOST_NAMED = 20

LooksRight = Callable[[Sequence[str]], bool]

PACKED = b"PK\x03\x04"
OTHER_KINDS = (
    (b"%PDF", "PDF"),
    (b"\xd0\xcf\x11\xe0", ".xls"),
    (b"{\\rtf", "RTF"),
    (b"\x89PNG", "PNG"),
    (b"\xff\xd8\xff", "JPEG"),
    (b"GIF8", "GIF"),
    (b"\x1f\x8b", "gzip"),
    (b"7z\xbc\xaf", "7z"),
    (b"Rar!", "RAR"),
    (b"PK", "zip"),
)


def read_table(name: str, data: bytes, *, looks_right: LooksRight | None = None) -> Table:
    """Read an uploaded CSV or XLSX file. Raises Unreadable, and nothing else whatever the bytes are.

    `looks_right` says whether a line can be the headings, so that a title above them or a sheet before is
    passed over; without it the first line with content is taken.
    """
    if len(data) > LARGEST_BYTES:
        raise Unreadable(
            name,
            _("the file is larger than %(size)s MB. Send the entries alone, without pictures or other sheets.")
            % {"size": LARGEST_BYTES // (1024 * 1024)},
        )
    if data.startswith(PACKED):
        return _from_workbook(name, data, looks_right)
    kind = next((kind for start, kind in OTHER_KINDS if data.startswith(start)), None)
    start = data[:200].lstrip(b"\xef\xbb\xbf \r\n\t").lower()
    if start.startswith((b"<!doctype", b"<html", b"<?xml", b"<table")):
        kind = "HTML / XML"
    if kind:
        raise Unreadable(
            name,
            _(
                "this is a file of another kind (%(kind)s). Expected a CSV file or an Excel workbook (.xlsx): "
                "open it in your spreadsheet, save it as one of these, and send that."
            )
            % {"kind": kind},
        )
    table = _table(name, csv_records(name, data), looks_right)
    if table is None:
        raise Unreadable(name, _("the file is empty. Expected a line of headings and one line for each entry."))
    return table


def _from_workbook(name: str, data: bytes, looks_right: LooksRight | None) -> Table:
    first: tuple[Sheet, Table] | None = None
    seen: list[Sheet] = []
    with warnings.catch_warnings():
        # The library warns of styles and validations that it leaves out; nothing of them is read here.
        warnings.simplefilter("ignore")
        for sheet in sheets(name, data):
            seen.append(sheet)
            if sheet.is_hidden or (first is not None and (looks_right is None or looks_right(first[1].headings))):
                continue
            table = _table(name, sheet.records, looks_right)
            if table is not None and (first is None or (looks_right is not None and looks_right(table.headings))):
                first = sheet, table
    if first is None:
        raise Unreadable(name, _nothing_in([sheet for sheet in seen if sheet.is_hidden]))
    sheet, table = first
    notices = [*_not_read(sheet, seen), *table.notices, *_hidden_rows(sheet, table)]
    return replace(table, notices=tuple(notices))


def _nothing_in(hidden: list[Sheet]) -> str:
    if not hidden:
        return _("the workbook is empty. Expected a line of headings and one line for each entry.")
    return _(
        "the workbook shows no filled sheet, and hidden ones are not read (%(sheets)s). "
        "Unhide the sheet with the entries, and save the workbook again."
    ) % {"sheets": ", ".join(f'"{sheet.title}"' for sheet in hidden)}


def _not_read(read: Sheet, seen: list[Sheet]) -> Iterator[str]:
    others = [
        _('"%(sheet)s" (hidden)') % {"sheet": other.title} if other.is_hidden else f'"{other.title}"'
        for other in seen
        if other is not read
    ]
    if others:
        yield _('Read from the sheet "%(sheet)s"; not read: %(others)s.') % {
            "sheet": read.title,
            "others": ", ".join(others),
        }


def _hidden_rows(sheet: Sheet, table: Table) -> Iterator[str]:
    """A filter that is still on hides rows; people take them for gone, or never see them."""
    numbers = [line.number for line in table.lines if line.number in sheet.hidden_rows and not line.is_empty]
    if numbers:
        named = ", ".join(map(str, numbers[:MOST_NAMED])) + (" …" if len(numbers) > MOST_NAMED else "")
        yield ngettext(
            "%(count)s line is hidden in the sheet, and is read like the others: %(lines)s.",
            "%(count)s lines are hidden in the sheet, and are read like the others: %(lines)s.",
            len(numbers),
        ) % {"count": len(numbers), "lines": named}


def _table(name: str, records: Iterator[tuple[int, list[Value]]], looks_right: LooksRight | None) -> Table | None:
    lines = _lines(name, records)
    candidates: list[Line] = []
    chosen: Line | None = None
    for line in lines:
        if line.is_empty:
            continue
        candidates.append(line)
        if looks_right is None or looks_right([tidy_text(shown(value)) for value in line.values]):
            chosen = line
            break
        if len(candidates) == HEADINGS_WITHIN:
            break
    if not candidates:
        return None
    if chosen is None:
        chosen, rest = candidates[0], [*candidates[1:], *lines]
    else:
        rest = list(lines)
    headings = _headings(name, chosen)
    above = [line for line in candidates if line.number < chosen.number]
    notices = [
        _("Line %(line)s stands above the headings and is not read: %(text)s")
        % {"line": line.number, "text": " ".join(filter(None, map(shown, line.values)))}
        for line in above
    ]
    return Table(name, headings, chosen.number, tuple(rest), tuple(notices))


def _lines(name: str, records: Iterator[tuple[int, list[Value]]]) -> Iterator[Line]:
    """Lines to the last one with content; raises Unreadable when there are too many."""
    waiting: list[Line] = []
    for number, values in records:
        line = Line(number, without_empty_end(values))
        if line.is_empty:
            if number <= MOST_LINES:
                waiting.append(line)
            continue
        if number > MOST_LINES + 1:
            raise Unreadable(
                name,
                _("the file has more than %(count)s lines. Send the entries of one meet alone, or in parts.")
                % {"count": f"{MOST_LINES:,}"},
                line=number,
            )
        yield from waiting
        waiting.clear()
        yield line


def _headings(name: str, line: Line) -> tuple[str, ...]:
    headings = tuple(tidy_text(shown(value)) for value in line.values)
    seen: dict[str, int] = {}
    for index, heading in enumerate(headings):
        if not heading:
            continue
        key = folded(heading) or heading
        if key in seen:
            raise Unreadable(
                name,
                _("this heading stands twice, in columns %(first)s and %(second)s. Rename or remove one of them.")
                % {"first": seen[key] + 1, "second": index + 1},
                line=line.number,
                column=heading,
            )
        seen[key] = index
    return headings
