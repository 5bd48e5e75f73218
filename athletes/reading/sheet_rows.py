"""Whether the rows of a workbook's sheet can be told apart by their numbers, so that none is lost on reading.

The reader of workbooks passes over what it cannot place: a row with a number that no sheet has, a row or a cell that
comes after a later one. A spreadsheet never writes such a sheet; some programs do.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

ROWS_OF_A_SHEET = 1_048_576
NUMBER = re.compile(r"0*([0-9]{1,7})(?:\.0+)?", re.ASCII)
REFERENCE = re.compile(r"([A-Z]{1,3})([0-9]{1,7})", re.ASCII)


@dataclass(slots=True)
class SheetRows:
    """What a sheet says of its rows, element by element. `fault`: row, column and sentence of the first wrong one."""

    fault: tuple[str, str, str] | None = None
    hidden: set[int] = field(default_factory=set)
    number: int = 0
    column: int = 0
    inside: bool = False
    is_shared: bool = False
    in_value: bool = False

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag == "sheetData":
            self.inside = True
        elif self.inside and self.fault is None:
            if tag == "row":
                self._row(attributes)
            elif tag == "c":
                self._cell(attributes)
            elif tag == "v":
                self.in_value = self.is_shared

    def end(self, tag: str) -> None:
        self.in_value = False
        if tag == "sheetData":
            self.inside = False

    def text(self, text: str) -> None:
        if self.in_value and "-" in text:  # read backwards, it would be somebody else's text
            self._wrong(
                str(self.number),
                _("a cell points to a text that is not in the workbook. %(again)s"),
                _letters(self.column),
            )

    def _row(self, attributes: dict[str, str]) -> None:
        stated = attributes.get("r")
        found = NUMBER.fullmatch(stated) if stated is not None else None
        number = self.number + 1 if stated is None else int(found[1]) if found else 0
        self.column = 0
        if not 1 <= number <= ROWS_OF_A_SHEET:
            self._wrong(
                stated or str(number), _("no row of a sheet has this number: they go from 1 to 1,048,576. %(again)s")
            )
        elif number == self.number:
            self._wrong(str(number), _("this row stands twice in the sheet. %(again)s"))
        elif number < self.number:
            says = _("this row comes after row %(later)s in the sheet. %(again)s")
            self._wrong(str(number), says, later=str(self.number))
        self.number = number
        if attributes.get("hidden") in ("1", "true"):
            self.hidden.add(number)

    def _cell(self, attributes: dict[str, str]) -> None:
        self.is_shared = attributes.get("t") == "s"
        stated = attributes.get("r")
        if stated is None:
            self.column += 1
            return
        found = REFERENCE.fullmatch(stated)
        column = _index(found[1]) if found else 0
        if found is None or int(found[2]) != self.number:
            says = _('a cell in this row calls itself "%(name)s". %(again)s')
            self._wrong(str(self.number), says, name=stated[:20])
        elif column <= self.column:
            says = _("a cell stands twice in this row, or after a later one. %(again)s")
            self._wrong(str(self.number), says, found[1])
        self.column = column

    def _wrong(self, row: str, says: str, column: str = "", **names: str) -> None:
        again = _("Open the workbook in your spreadsheet, look at the row, and save it again.")
        self.fault = self.fault or (row[:20], column, says % {"again": again, **names})


def _index(letters: str) -> int:
    index = 0
    for letter in letters:
        index = index * 26 + ord(letter) - ord("A") + 1
    return index


def _letters(index: int) -> str:
    letters = ""
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
