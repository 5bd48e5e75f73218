"""What an uploaded file holds: cells, each with its line and column. Values stay as the file has them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _


@dataclass(frozen=True, slots=True)
class Formula:
    """A cell that a spreadsheet would run; its result is never taken."""

    text: str


@dataclass(frozen=True, slots=True)
class Broken:
    """A workbook cell that shows an error, such as #REF!."""

    text: str


Value = str | int | float | date | Formula | Broken
"""Text is as typed; numbers and dates come from workbooks only; an empty cell is ''."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the file by its number there, cells in the order of the headings, without empty ends."""

    number: int
    values: tuple[Value, ...]

    def at(self, column: int) -> Value:
        return self.values[column] if column < len(self.values) else ""

    @property
    def is_empty(self) -> bool:
        return not self.values


@dataclass(frozen=True, slots=True)
class Table:
    """Headings and the lines under them. `notices` says what was left unread on purpose."""

    name: str
    headings: tuple[str, ...]
    heading_line: int
    lines: tuple[Line, ...]
    notices: tuple[str, ...] = ()

    def column_name(self, column: int) -> str:
        """The heading of a column, or its number where there is none."""
        heading = self.headings[column] if column < len(self.headings) else ""
        return heading or str(column + 1)


class Unreadable(Exception):
    """A file that cannot be taken: the sentence says which file, where in it, what is expected, what to do."""

    def __init__(self, file: str, says: str, *, line: int | str | None = None, column: str = "") -> None:
        self.file, self.says, self.line, self.column = file, says, line, column
        super().__init__(file, says, line, column)

    def __str__(self) -> str:
        return f"{place(self.file, self.line, self.column)}: {self.says}"


def place(file: str, line: int | str | None = None, column: str = "") -> str:
    """`entries.csv, line 10, column Date of birth`, as far as it is known."""
    if line is None:
        return file
    if not column:
        return _("%(file)s, line %(line)s") % {"file": file, "line": line}
    return _("%(file)s, line %(line)s, column %(column)s") % {"file": file, "line": line, "column": column}


def shown(value: Value) -> str:
    """A cell as people see it; dates with the year first."""
    if isinstance(value, str):
        return value
    if isinstance(value, Formula | Broken):
        return value.text
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return str(value)


def without_empty_end(values: Sequence[Value]) -> tuple[Value, ...]:
    end = len(values)
    while end and (values[end - 1] == "" or (isinstance(values[end - 1], str) and not values[end - 1].strip())):
        end -= 1
    return tuple(values[:end])
