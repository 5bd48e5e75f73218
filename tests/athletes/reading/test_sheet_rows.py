"""Every row of a workbook is read, or the workbook is refused with the row's number."""

import io
import zipfile
from datetime import date

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from athletes.reading.opening import MOST_NAMED, read_table
from athletes.reading.table import Broken, Formula, Unreadable

MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
SHEET_PART = "xl/worksheets/sheet1.xml"
AGAIN = "Open the workbook in your spreadsheet, look at the row, and save it again."


def workbook(rows=(("Code",), ("MAR",)), *, hidden_rows=(), epoch=None, more=()):
    book = openpyxl.Workbook()
    book.active.title = "Entries"
    if epoch:
        book.epoch = epoch
    for row in rows:
        book.active.append(row)
    for row in hidden_rows:
        book.active.row_dimensions[row].hidden = True
    for title, cell, state in more:
        sheet = book.create_sheet(title)
        sheet["A1"], sheet.sheet_state = cell, state
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_part(name, content, data=None):
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data or workbook())) as before, zipfile.ZipFile(out, "w") as after:
        for part in before.infolist():
            if part.filename != name:
                after.writestr(part.filename, before.read(part))
        after.writestr(name, content)
    return out.getvalue()


def sheet(*rows, tail=""):
    return with_part(SHEET_PART, f"<worksheet {MAIN}><sheetData>{''.join(rows)}</sheetData>{tail}</worksheet>")


def row(number, *texts, more=""):
    stated = "" if number is None else f' r="{number}"'
    cells = "".join(f'<c t="inlineStr"><is><t>{text}</t></is></c>' for text in texts)
    return f"<row{stated}{more}>{cells}</row>"


def cell(name, text):
    return f'<c r="{name}" t="inlineStr"><is><t>{text}</t></is></c>'


def lines_of(data):
    return [(line.number, line.values) for line in read_table("e.xlsx", data).lines]


def refusal(data):
    with pytest.raises(Unreadable) as caught:
        read_table("e.xlsx", data)
    return str(caught.value)


@pytest.mark.parametrize("number", ["-5", "0", "1048577", "1000000000", "99999999999", "two", "2.5", "1_0", "٣"])
def test_a_row_with_a_number_that_no_sheet_has(number):
    assert refusal(sheet(row(1, "Code"), row(number, "MAR"), row(3, "THO"))) == (
        f"e.xlsx, line {number}: no row of a sheet has this number: they go from 1 to 1,048,576. {AGAIN}"
    )


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([row(2, "MAR"), row(2, "THO")], f"e.xlsx, line 2: this row stands twice in the sheet. {AGAIN}"),
        ([row("", "MAR")], f"e.xlsx, line 0: no row of a sheet has this number: they go from 1 to 1,048,576. {AGAIN}"),
        ([row(4, "MAR"), row(3, "THO")], f"e.xlsx, line 3: this row comes after row 4 in the sheet. {AGAIN}"),
        ([row(1048576, "MAR"), row(None, "THO")], "e.xlsx, line 1048577: no row of a sheet has this number: they go"
            f" from 1 to 1,048,576. {AGAIN}"),
        ([f"<row r='2'>{cell('A3', 'MAR')}</row>"], f'e.xlsx, line 2: a cell in this row calls itself "A3". {AGAIN}'),
        ([f"<row r='2'>{cell('7', 'MAR')}</row>"], f'e.xlsx, line 2: a cell in this row calls itself "7". {AGAIN}'),
        ([f"<row r='2'>{cell('B2', 'x')}{cell('A2', 'y')}</row>"], "e.xlsx, line 2, column A: a cell stands twice in"
            f" this row, or after a later one. {AGAIN}"),
        ([f"<row r='2'>{cell('A2', 'x')}{cell('A2', 'y')}</row>"], "e.xlsx, line 2, column A: a cell stands twice in"
            f" this row, or after a later one. {AGAIN}"),
        ([f"<row r='2'><c/>{cell('A2', 'y')}</row>"], "e.xlsx, line 2, column A: a cell stands twice in"
            f" this row, or after a later one. {AGAIN}"),
        (['<row r="2"><c r="AB2" t="s"><v>-1</v></c></row>'], "e.xlsx, line 2, column AB: a cell points to a text that"
            f" is not in the workbook. {AGAIN}"),
        (['<row r="2"><c t="s"><v>7</v></c></row>'], "e.xlsx, line 2: the workbook is damaged or locked with a"
            ' password. Save it again as .xlsx without one, or as "CSV UTF-8".'),
    ],
)  # fmt: skip
def test_rows_and_cells_that_would_be_lost(rows, says):
    assert refusal(sheet(row(1, "Code"), *rows)) == says


def test_rows_and_cells_without_their_numbers_count_on():
    found = lines_of(sheet(row(None, "Code"), row(None, "MAR"), row("4.0", "THO"), row(None, "BRA", "x")))
    assert found == [(2, ("MAR",)), (3, ()), (4, ("THO",)), (5, ("BRA", "x"))]


def test_a_row_that_says_where_a_drawing_stands_is_no_row_of_the_sheet():
    data = sheet(row(1, "Code"), row(2, "MAR"), tail="<controls><from><row>9</row></from></controls>")
    data_after = sheet(row(1, "Code"), row(2, "MAR"))
    assert lines_of(data)[:1] == lines_of(data_after) == [(2, ("MAR",))]


def test_only_the_sheet_that_is_read_has_to_be_sound():
    data = workbook(more=[("Old", "x", "hidden")])
    broken = with_part(
        "xl/worksheets/sheet2.xml", f"<worksheet {MAIN}><sheetData>{row(-5)}</sheetData></worksheet>", data
    )
    assert lines_of(broken) == [(2, ("MAR",))]


def test_hidden_sheets_are_not_read_and_named():
    data = workbook(more=[("Old", "Code", "hidden"), ("Lists", "x", "veryHidden"), ("Help", "x", "visible")])
    assert read_table("e.xlsx", data).notices == (
        'Read from the sheet "Entries"; not read: "Old" (hidden), "Lists" (hidden), "Help".',
    )


def test_a_workbook_that_shows_nothing_but_hides_a_sheet():
    assert refusal(workbook((), more=[("Old", "Code", "hidden")])) == (
        'e.xlsx: the workbook shows no filled sheet, and hidden ones are not read ("Old"). '
        "Unhide the sheet with the entries, and save the workbook again."
    )


def test_hidden_rows_are_read_and_said():
    table = read_table("e.xlsx", workbook([["Code"], ["MAR"], ["THO"], [], ["BRA"]], hidden_rows=(2, 4, 5)))
    assert [line.values for line in table.lines] == [("MAR",), ("THO",), (), ("BRA",)]
    assert table.notices == ("2 lines are hidden in the sheet, and are read like the others: 2, 5.",)


def test_many_hidden_rows_are_counted():
    count = MOST_NAMED + 1
    data = workbook([["Code"], *[["MAR"]] * count], hidden_rows=range(2, 2 + count))
    numbers = ", ".join(str(n) for n in range(2, 2 + MOST_NAMED))
    assert read_table("e.xlsx", data).notices == (
        f"{count} lines are hidden in the sheet, and are read like the others: {numbers} ….",
    )


@pytest.mark.parametrize("epoch", [None, CALENDAR_MAC_1904])
def test_dates_of_either_calendar(epoch):
    born = date(2012, 2, 29)
    assert lines_of(workbook([["Born"], [born]], epoch=epoch)) == [(2, (born,))]


def test_a_number_beyond_all_dates_is_a_broken_cell():
    data = workbook([["Born"], [date(2012, 2, 29)]])
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        text = packed.read(SHEET_PART).decode()
    (value,) = [bit for bit in text.split("<v>")[1:] if bit.startswith("40968")]
    broken = with_part(SHEET_PART, text.replace(f"<v>{value}", f"<v>9999{value}"), data)
    assert lines_of(broken) == [(2, (Broken("#VALUE!"),))]


def test_what_another_workbook_holds_is_a_formula_and_never_fetched():
    data = workbook([["Best"], ["='[other.xlsx]Sheet1'!A1"]])
    linked = with_part("xl/externalLinks/externalLink1.xml", f"<externalLink {MAIN}/>", data)
    assert lines_of(linked) == [(2, (Formula("='[other.xlsx]Sheet1'!A1"),))]


def test_a_workbook_of_the_strict_kind_is_named():
    strict = '<workbook xmlns="http://purl.oclc.org/ooxml/spreadsheetml/main"><sheets/></workbook>'
    assert refusal(with_part("xl/workbook.xml", strict)) == (
        'e.xlsx: the workbook is saved as "Strict Open XML", which cannot be read here. '
        'Save it as an ordinary Excel workbook (.xlsx), or as "CSV UTF-8".'
    )
