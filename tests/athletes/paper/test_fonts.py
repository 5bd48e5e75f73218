"""Text on paper: every letter of our names is in the font, and what is too wide is made to fit, never cut."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.paper.fonts import MISSING, NO_BREAK, STRONG, TEXT, fitted, printable, use_fonts, width_at_one, wrapped


@pytest.mark.parametrize(
    "text",
    [
        "Łukasik, Żółkiewska",
        "Ángela Núñez-Brøndum",
        "Παπαδοπούλου Ἀγγελική",
        "Дарья Соколова, Ґалина Їжак",
        "O’Neil d'Arcy",
        "Nguyễn Thị Hồng",
        "½ ⅓ ⅔ ¼ ¾",
    ],
)
def test_letters_of_the_font_are_printed_as_they_are(text):
    assert printable(text) == text


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("e\u0301", "é"),
        ("two\nlines\tand a tab", "two lines and a tab"),
        ("zero\u200bwidth\u200f and\ufeff direction", "zerowidth and direction"),
        ("Ｙｕ", "Yu"),
        ("李娜", MISSING * 2),
        ("Ann 🏃\ufe0f", f"Ann {MISSING}"),
        (f"x{NO_BREAK}failed", f"x{NO_BREAK}failed"),
    ],
)
def test_other_letters_are_composed_left_out_or_shown_as_missing(text, printed):
    assert printable(text) == printed


def test_the_sign_for_a_missing_letter_is_in_the_font():
    assert ord(MISSING) in use_fonts()


@pytest.mark.parametrize("font", [TEXT, STRONG])
def test_figures_are_all_of_one_width(font):
    assert len({width_at_one(figure, font) for figure in "0123456789"}) == 1


@given(st.text(max_size=60))
def test_whatever_is_printed_is_in_the_font_and_on_one_line(text):
    printed = printable(text)
    assert {ord(letter) for letter in printed} <= use_fonts() | {0xA0}
    assert printed.splitlines() in ([], [printed])


@given(
    st.text("abcdefghij WŁя-", min_size=1, max_size=80).map(str.strip).filter(bool),
    st.floats(min_value=20, max_value=200),
)
def test_wrapped_lines_fit_and_lose_nothing(text, width):
    lines = wrapped(text, TEXT, 9, width)
    assert [line for line in lines if width_at_one(line, TEXT) * 9 > width + 0.001 and len(line) > 1] == []
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


@pytest.mark.parametrize(
    ("width", "size", "lines"),
    [
        (200, 10, ["Vandermeulen-Featherstonehaugh"]),
        (140, 9.1, ["Vandermeulen-Featherstonehaugh"]),
        (90, 7.5, ["Vandermeulen-", "Featherstonehaugh"]),
    ],
)
def test_a_long_name_is_set_smaller_and_then_broken_at_its_hyphen(width, size, lines):
    found, parts = fitted("Vandermeulen-Featherstonehaugh", TEXT, 10, width, 7.5)
    assert (found, parts) == (size, lines)
    assert max(width_at_one(part, TEXT) for part in parts) * found <= width
