"""What may be inside a workbook before it is opened: a small file can unpack to more than a machine can hold."""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass
from xml.parsers import expat

from django.utils.translation import gettext as _

from athletes.reading.sheet_rows import SheetRows
from athletes.reading.table import Unreadable

MB = 1024 * 1024
UNPACKED_BYTES = 40 * MB
PARTS = 2000
DEPTH = 50
FORMULAS = 2000
LONGEST_FORMULA = 1000
CHUNK = 64 * 1024
STRICT = b"http://purl.oclc.org/ooxml/"


@dataclass(frozen=True, slots=True)
class Limits:
    """Of one part. A workbook of 20,000 entry lines stays far below all of them."""

    size: int
    elements: int
    rows: int = 0


SHEET = Limits(25 * MB, 1_500_000, rows=60_000)
STRINGS = Limits(10 * MB, 600_000)
OTHER = Limits(MB, 50_000)


class TooMuch(Exception):
    """More in a part than its limits; never seen outside."""


def scan(name: str, data: bytes) -> dict[str, SheetRows]:
    """What each part says of its rows. Raises Unreadable for what is no workbook, or takes too much to open."""
    rows: dict[str, SheetRows] = {}
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = packed.infolist()
            if "xl/workbook.xml" not in {part.filename for part in parts}:
                raise Unreadable(name, _("this is a packed file but no workbook. Send the .xlsx or .csv file itself."))
            # A part never unpacks to more than it states here: the reader stops at that size.
            if len(parts) > PARTS or sum(part.file_size for part in parts) > UNPACKED_BYTES:
                raise TooMuch
            for part in parts:
                found = _Scan(_limits(part.filename))
                found.read(packed, part)
                rows[part.filename] = found.sheet
            if STRICT in packed.read("xl/workbook.xml"):
                raise Unreadable(name, strict())
    except Unreadable:
        raise
    except TooMuch as problem:
        raise Unreadable(
            name,
            _(
                "the workbook holds far more than entries (formats, formulas, pictures or empty rows). "
                "Copy the entries alone to a new workbook, as values."
            ),
        ) from problem
    except Exception as problem:  # a broken archive fails in many ways: BadZipFile, zlib, struct, a password
        raise Unreadable(name, damaged()) from problem
    return rows


def strict() -> str:
    return _(
        'the workbook is saved as "Strict Open XML", which cannot be read here. '
        'Save it as an ordinary Excel workbook (.xlsx), or as "CSV UTF-8".'
    )


def damaged() -> str:
    return _(
        'the workbook is damaged or locked with a password. Save it again as .xlsx without one, or as "CSV UTF-8".'
    )


def _limits(part: str) -> Limits:
    if part.startswith("xl/worksheets/"):
        return SHEET
    return STRINGS if part == "xl/sharedStrings.xml" else OTHER


class _Scan:
    """Counts what is in a part without keeping any of it."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self.elements = self.depth = self.rows = self.formulas = self.formula_length = 0
        self.in_formula = False
        self.sheet = SheetRows()

    def read(self, packed: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
        parser = expat.ParserCreate()
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.text
        parser.StartDoctypeDeclHandler = self.doctype
        with packed.open(part) as opened:
            try:
                while chunk := opened.read(CHUNK):
                    parser.Parse(chunk, False)
                parser.Parse(b"", True)
            except expat.ExpatError:
                return  # no XML (a picture), or torn: whoever reads it stops at the same place
        if part.file_size > self.limits.size:
            raise TooMuch

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self.elements += 1
        self.depth += 1
        if self.elements > self.limits.elements or self.depth > DEPTH:
            raise TooMuch
        local = tag.rpartition(":")[2]
        self.sheet.start(local, attributes)
        if local == "row":
            self.rows += 1
            if self.rows > self.limits.rows:
                raise TooMuch
        elif local == "f":
            self.formulas += 1
            self.formula_length = 0
            self.in_formula = True
            if self.formulas > FORMULAS:
                raise TooMuch

    def end(self, tag: str) -> None:
        self.depth -= 1
        self.in_formula = False
        self.sheet.end(tag.rpartition(":")[2])

    def text(self, text: str) -> None:
        self.sheet.text(text)
        if self.in_formula:
            self.formula_length += len(text)
            if self.formula_length > LONGEST_FORMULA:
                raise TooMuch

    def doctype(self, *_declared: object) -> None:
        """No part of a workbook has a document type; one that has may grow without end when it is read."""
        raise TooMuch
