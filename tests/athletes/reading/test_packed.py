"""Small files that would unpack to more than a machine can hold are refused before they are opened."""

import io
import zipfile

import openpyxl
import pytest

from athletes.reading.opening import read_table
from athletes.reading.packed import DEPTH, FORMULAS, OTHER, SHEET, STRINGS, UNPACKED_BYTES
from athletes.reading.table import Unreadable

MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
SHEET_PART = "xl/worksheets/sheet1.xml"
TOO_MUCH = (
    "e.xlsx: the workbook holds far more than entries (formats, formulas, pictures or empty rows). "
    "Copy the entries alone to a new workbook, as values."
)


def workbook():
    book = openpyxl.Workbook()
    book.active.append(["Code"])
    book.active.append(["MAR"])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_part(name, content):
    """A whole workbook in which one part has another content."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook())) as before, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after:
        for part in before.infolist():
            if part.filename != name:
                after.writestr(part.filename, before.read(part))
        after.writestr(name, content)
    return out.getvalue()


def sheet(inside):
    return f"<worksheet {MAIN}><sheetData>{inside}</sheetData></worksheet>"


@pytest.mark.parametrize(
    ("part", "content"),
    [
        ("xl/media/image1.png", b"\0" * (UNPACKED_BYTES + 1)),
        (SHEET_PART, sheet("<row/>" * (SHEET.rows + 1))),
        (SHEET_PART, sheet("<x:row/>" * (SHEET.rows + 1)).replace("<worksheet", '<worksheet xmlns:x="x"')),
        (SHEET_PART, sheet("<c/>" * SHEET.elements)),
        (SHEET_PART, "<a>" * (DEPTH + 1)),
        (SHEET_PART, sheet("<row><c><f>A1</f></c></row>" * (FORMULAS + 1))),
        (SHEET_PART, sheet(f"<row><c><f>{'A1+' * 400}A1</f></c></row>")),
        (SHEET_PART, '<!DOCTYPE x [<!ENTITY a "aaaa">]>' + sheet("")),
        (SHEET_PART, ('<?xml version="1.0" encoding="UTF-16"?><!DOCTYPE x>' + sheet("")).encode("utf-16")),
        ("xl/sharedStrings.xml", f"<sst {MAIN}>{'<si/>' * STRINGS.elements}</sst>"),
        ("xl/styles.xml", f"<styleSheet {MAIN}><cellXfs>{'<xf/>' * OTHER.elements}</cellXfs></styleSheet>"),
        ("xl/styles.xml", f"<styleSheet {MAIN}>{' ' * OTHER.size}</styleSheet>"),
        ("custom/data.bin", f"<a>{'<b/>' * OTHER.elements}</a>"),
    ],
)
def test_a_bomb_is_refused(part, content):
    with pytest.raises(Unreadable) as caught:
        read_table("e.xlsx", with_part(part, content))
    assert str(caught.value) == TOO_MUCH


@pytest.mark.parametrize(
    ("part", "content"),
    [
        ("xl/media/image1.png", b"\x89PNG" + b"\xff" * 3_000_000),
        ("xl/drawings/vmlDrawing1.vml", "<xml><br></xml>"),
        ("custom/item1.xml", "<a>&amp;</a>"),
    ],
)
def test_what_else_a_workbook_may_hold_is_passed_over(part, content):
    table = read_table("e.xlsx", with_part(part, content))
    assert [line.values for line in table.lines] == [("MAR",)]


def test_some_formulas_and_empty_rows_are_no_bomb():
    content = sheet(
        '<row><c t="inlineStr"><is><t>Code</t></is></c></row>' + "<row><c><f>1+1</f></c></row>" * 3 + "<row/>" * 50_000
    )
    assert len(read_table("e.xlsx", with_part(SHEET_PART, content)).lines) == 3
