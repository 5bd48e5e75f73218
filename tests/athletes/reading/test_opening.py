"""Bytes in, a table or a clear refusal out."""

import io
import zipfile
from datetime import date, datetime

import openpyxl
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from athletes.reading.opening import LARGEST_BYTES, MOST_LINES, read_table
from athletes.reading.table import Formula, Line, Table, Unreadable
from tests.depth import examples

SAMPLE = "Code;Name\r\nMAR;Orla\r\n"


def lines_of(table):
    return [(line.number, line.values) for line in table.lines]


def refusal(data, name="entries.csv", **options):
    with pytest.raises(Unreadable) as caught:
        read_table(name, data, **options)
    return str(caught.value)


def workbook(rows, *, title="Entries", more=()):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = title
    for row in rows:
        sheet.append(row)
    for other_title, other_rows in more:
        other = book.create_sheet(other_title)
        for row in other_rows:
            other.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        SAMPLE.encode(),
        SAMPLE.encode("utf-8-sig"),
        SAMPLE.encode("utf-16"),
        "\N{ZERO WIDTH NO-BREAK SPACE}".encode("utf-16-be") + SAMPLE.encode("utf-16-be"),
        SAMPLE.replace("\r\n", "\n").encode(),
        SAMPLE.replace("\r\n", "\r").encode(),
        SAMPLE.replace(";", ",").encode(),
        SAMPLE.replace(";", "\t").encode(),
        (b'"Code","Name"\r\n"MAR","Orla"\r\n'),
    ],
)
def test_encodings_delimiters_and_line_ends_are_seen(data):
    assert read_table("entries.csv", data) == Table("entries.csv", ("Code", "Name"), 1, (Line(2, ("MAR", "Orla")),))


def test_lines_keep_their_numbers_past_line_breaks_in_cells_and_empty_lines():
    data = b'Code,Name\n"MAR","Orla\nElmsall"\n\nTHO,Wren\n'
    assert lines_of(read_table("entries.csv", data)) == [(2, ("MAR", "Orla\nElmsall")), (4, ()), (5, ("THO", "Wren"))]


def test_empty_lines_at_the_end_and_empty_cells_are_no_lines_and_cells():
    assert lines_of(read_table("entries.csv", b"Code,Name\nMAR,,\n,,\n\n")) == [(2, ("MAR",))]


def test_a_stated_delimiter_is_taken():
    table = read_table("entries.csv", b"sep=;\nCode;Name\nMAR;Vale, the\n")
    assert (table.headings, table.heading_line, lines_of(table)) == (("Code", "Name"), 2, [(3, ("MAR", "Vale, the"))])


def test_a_title_above_the_headings_is_passed_over_and_said():
    table = read_table("e.csv", b"Spring meet\n\nCode,Name\nMAR,Orla\n", looks_right=lambda texts: "Code" in texts)
    assert (table.headings, table.heading_line, lines_of(table)) == (("Code", "Name"), 3, [(4, ("MAR", "Orla"))])
    assert table.notices == ("Line 1 stands above the headings and is not read: Spring meet",)


def test_without_likely_headings_the_first_line_is_taken():
    table = read_table("e.csv", b"a,b\n1,2\n3,4\n", looks_right=lambda texts: False)
    assert (table.headings, lines_of(table)) == (("a", "b"), [(2, ("1", "2")), (3, ("3", "4"))])


@pytest.mark.parametrize("text", ['=HYPERLINK("x")', "=1+1", "+cmd", "@SUM(A1)", "-2+3", " =1"])
def test_a_cell_that_a_spreadsheet_would_run_is_a_formula(text):
    table = read_table("e.csv", f"Code;Name\nMAR;{text}\n".encode())
    assert table.lines[0].values == ("MAR", Formula(text.strip()))


@pytest.mark.parametrize("text", ["-", "+1.4", "-0,3", "-12", "5.43"])
def test_signed_numbers_and_a_lone_dash_are_text(text):
    assert read_table("e.csv", f"Code;Name\nMAR;{text}\n".encode()).lines[0].values == ("MAR", text)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "entries.csv: the file is empty. Expected a line of headings and one line for each entry."),
        (b"Code" + b"," * 256, "entries.csv, line 1: more than 256 columns. Send the columns of the entries alone."),
        (
            b"Code\n" + b"," * 99_999,
            "entries.csv, line 2: more than 256 columns. Send the columns of the entries alone.",
        ),
        (b"\n" * 99_999, "entries.csv: the file is empty. Expected a line of headings and one line for each entry."),
        (b" \n,,\n", "entries.csv: the file is empty. Expected a line of headings and one line for each entry."),
        (
            "Code;Name\nMAR;Orla\nTHO;Renée\n".encode("latin-1"),
            "entries.csv, line 3, column Name: this is not UTF-8 text; the file was saved in an older encoding, in "
            'which letters such as é or Ł would be lost. Save it as "CSV UTF-8", or send the workbook itself (.xlsx).',
        ),
        (
            b"Code,Name,code\nMAR,Orla,X\n",
            "entries.csv, line 1, column code: this heading stands twice, in columns 1 and 3. "
            "Rename or remove one of them.",
        ),
        (
            b"Code,Name\nMAR,Or\x07la\n",
            "entries.csv, line 2, column Name: the cell holds a control character (U+0007), which no text has. "
            "Type the cell again, or save the file again from your spreadsheet.",
        ),
        (
            b"Code,Name\nMAR,Or\x00la\n",
            "entries.csv, line 2, column Name: the cell holds a control character (U+0000), which no text has. "
            "Type the cell again, or save the file again from your spreadsheet.",
        ),
        (
            b'Code,Name\nMAR,Wren\nTHO,"Orla\nELS,Bea\n',
            "entries.csv, line 3: a quotation mark that is opened from here on is not closed, or something follows "
            "the closing one. Remove the mark, or save the file again from your spreadsheet.",
        ),
        (
            b"%PDF-1.7 ...",
            "entries.csv: this is a file of another kind (PDF). Expected a CSV file or an Excel workbook (.xlsx): "
            "open it in your spreadsheet, save it as one of these, and send that.",
        ),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
            "entries.csv: this is a file of another kind (.xls). Expected a CSV file or an Excel workbook (.xlsx): "
            "open it in your spreadsheet, save it as one of these, and send that.",
        ),
        (
            b"<html><table><tr><td>Code",
            "entries.csv: this is a file of another kind (HTML / XML). Expected a CSV file or an Excel workbook "
            "(.xlsx): open it in your spreadsheet, save it as one of these, and send that.",
        ),
        (
            b"a" * (LARGEST_BYTES + 1),
            "entries.csv: the file is larger than 5 MB. Send the entries alone, without pictures or other sheets.",
        ),
        (
            b"Code\n" + b"MAR\n" * (MOST_LINES + 1),
            "entries.csv, line 20002: the file has more than 20,000 lines. "
            "Send the entries of one meet alone, or in parts.",
        ),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(data, says):
    assert refusal(data) == says


def test_the_limits_themselves_are_allowed():
    assert len(read_table("e.csv", b"Code\n" + b"MAR\n" * MOST_LINES).lines) == MOST_LINES


def test_a_workbook_gives_typed_cells():
    data = workbook([["Code", "Born", "Best", "Board", "X"], ["MAR", datetime(2014, 12, 7), 2.75, 7, None]])
    assert lines_of(read_table("e.xlsx", data)) == [(2, ("MAR", date(2014, 12, 7), 2.75, 7))]


def test_a_formula_in_a_workbook_is_never_its_result():
    data = workbook([["Code", "Best"], ["MAR", "=2+3"], ["THO", "#REF!"]])
    assert read_table("e.xlsx", data).lines[0].values == ("MAR", Formula("=2+3"))


def test_the_sheet_that_looks_right_is_read_and_the_others_are_named():
    data = workbook([["How to fill this in"]], title="Help", more=[("Entries", [["Code"], ["MAR"]])])
    table = read_table("e.xlsx", data, looks_right=lambda texts: "Code" in texts)
    assert (table.headings, table.notices) == (("Code",), ('Read from the sheet "Entries"; not read: "Help".',))


def packed(parts):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


DAMAGED = (
    'e.xlsx: the workbook is damaged or locked with a password. Save it again as .xlsx without one, or as "CSV UTF-8".'
)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (
            packed({"photo.txt": "x"}),
            "e.xlsx: this is a packed file but no workbook. Send the .xlsx or .csv file itself.",
        ),
        (b"PK\x03\x04 torn", DAMAGED),
        (packed({"xl/workbook.xml": "no xml"}), DAMAGED),
        (workbook([]), "e.xlsx: the workbook is empty. Expected a line of headings and one line for each entry."),
        (
            workbook([["Code", "Code"]]),
            "e.xlsx, line 1, column Code: this heading stands twice, in columns 1 and 2. Rename or remove one of them.",
        ),
        (workbook([["x"] * 257]), "e.xlsx, line 1: more than 256 columns. Send the columns of the entries alone."),
        (
            workbook([["Code"], ["x" * 2001]]),
            "e.xlsx, line 2: a cell has more than 2000 letters. Entries are shorter: empty the cell.",
        ),
    ],
)
def test_what_is_no_workbook_is_refused(data, says):
    assert refusal(data, "e.xlsx") == says


def test_a_workbook_with_a_cell_at_the_far_end_is_refused_quickly():
    book = openpyxl.Workbook()
    book.active["A1"] = "Code"
    book.active.cell(1_048_576, 1, "x")
    out = io.BytesIO()
    book.save(out)
    assert refusal(out.getvalue(), "e.xlsx").startswith("e.xlsx, line 1048576: the file has more than 20,000 lines.")


def read_or_refuse(data):
    """What became of the bytes; anything but a table or Unreadable fails the test by being raised."""
    try:
        return read_table("entries.csv", data)
    except Unreadable as problem:
        return problem


def is_table_or_sentence(result):
    if isinstance(result, Unreadable):
        return str(result).startswith("entries.csv") and str(result).endswith((".", "?"))
    numbers = [line.number for line in result.lines]
    return isinstance(result, Table) and numbers == sorted(set(numbers))


@examples(200)
@given(st.binary(max_size=400))
@example(b"PK\x03\x04" + bytes(30))
@example(b"\xff\xfea")
@example(b"\xff\xfe\x00\x00abc")
@example(b'"')
@example(b"\x00")
def test_any_bytes_are_read_or_refused(data):
    assert is_table_or_sentence(read_or_refuse(data))


@examples(200)
@given(st.text(st.sampled_from('a;,\t"\r\n=\x00\ufeff é-+'), max_size=60))
def test_any_text_is_read_or_refused(text):
    assert is_table_or_sentence(read_or_refuse(text.encode()))


SMALL_WORKBOOK = workbook([["Code", "Born"], ["MAR", date(2014, 12, 7)]])


@examples(60)
@given(st.integers(0, len(SMALL_WORKBOOK) - 1), st.binary(min_size=1, max_size=8))
def test_a_torn_workbook_is_read_or_refused(position, bytes_in):
    torn = SMALL_WORKBOOK[:position] + bytes_in + SMALL_WORKBOOK[position + len(bytes_in) :]
    assert is_table_or_sentence(read_or_refuse(torn))


XML_BITS = st.sampled_from(
    "<row r='1'>|<row>|</row>|<c r='A1'>|<c t='s'>|<c t='n' s='99'>|<c t='d'>|<c>|</c>|<v>1e999</v>|<v>x</v>|"
    "<v>7</v>|<f>A1</f>|<row r='99999999999'>|<c r='XFD1'>|<c t='e'>".split("|")
)


def with_sheet(xml):
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(SMALL_WORKBOOK)) as before, zipfile.ZipFile(out, "w") as after:
        for part in before.infolist():
            sheet = part.filename.startswith("xl/worksheets/sheet")
            after.writestr(part, xml if sheet else before.read(part))
    return out.getvalue()


@examples(60)
@given(st.lists(XML_BITS, max_size=12))
@example(["<row r='99999999999'>", "<c>", "<v>7</v>", "</c>", "</row>"])
@example(["<row>", "<c>", "<v>1e999</v>", "</c>", "</row>"])
def test_any_sheet_is_read_or_refused(bits):
    xml = (
        '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
        f"{''.join(bits)}</sheetData></worksheet>"
    )
    assert is_table_or_sentence(read_or_refuse(with_sheet(xml)))
