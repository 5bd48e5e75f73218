import csv
import io
import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.reading.writing import csv_text, runs_as_formula, safe_cell


@pytest.mark.parametrize(
    ("cell", "safe"),
    [
        ("Orla", "Orla"),
        ("", ""),
        ("-", "-"),
        ("-4.3", "-4.3"),
        ("+2.1", "+2.1"),
        ("+2,1", "+2,1"),
        ("5.43", "5.43"),
        ('=HYPERLINK("x")', '\'=HYPERLINK("x")'),
        ("=1+1", "'=1+1"),
        ("+1+1", "'+1+1"),
        ("-1+1", "'-1+1"),
        ("-Ann", "'-Ann"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "'\t'=1"),
        ("Vale; -", "Vale; -"),
        ("Vale; -0.3", "Vale; -0.3"),
        ("Vale;=1+1;x", "Vale;'=1+1;x"),
        ("Vale\n@SUM(A1)", "Vale\n'@SUM(A1)"),
        ("\tx", "'\tx"),
        ("\rx", "'\rx"),
        ("  =1", "'  =1"),
        ("\N{FULLWIDTH EQUALS SIGN}1", "'\N{FULLWIDTH EQUALS SIGN}1"),
        (-4.3, -4.3),
        (7, 7),
        (None, None),
    ],
)
def test_text_that_could_be_run_gets_an_apostrophe(cell, safe):
    assert safe_cell(cell) == safe


@given(st.text(st.characters(codec="utf-8") | st.sampled_from("=+-@;\t\r\n '")))
def test_a_safe_cell_adds_apostrophes_only_and_no_part_of_it_runs(text):
    safe = safe_cell(text)
    assert safe.replace("'", "") == text.replace("'", "")
    assert not any(runs_as_formula(part) for part in re.split(r"[;\t\r\n]", safe))


def test_csv_text_opens_with_the_right_letters_and_no_formula():
    text = csv_text(["Name", "=Born"], [["Łukasik", date(2012, 6, 15)], ["=1", None]])
    assert text.encode().startswith(b"\xef\xbb\xbf")
    rows = list(csv.reader(io.StringIO(text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}"), newline="")))
    assert rows == [["Name", "'=Born"], ["Łukasik", "2012-06-15"], ["'=1", ""]]
