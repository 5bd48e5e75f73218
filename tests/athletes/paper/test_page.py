"""The page: sizes, heading on every page, page x of y, the same bytes for the same values."""

import io
import re
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest
from pypdf import PdfReader
from reportlab.lib.units import mm
from reportlab.platypus import PageBreak, Spacer

from athletes.paper.fonts import TEXT, width_at_one
from athletes.paper.page import Foot, Head, Page
from athletes.paper.parts import Sentence
from athletes.paper.qr import qr_code, qr_path

HEAD = Head("Pyddle Vale Schools", "U15 Girls Long Jump", "Start list", ("Saturday 12 June",), number="7", version="v2")
FOOT = Foot("start list version 2", "printed 12 June 2027, 12:05")


def pages_of(content):
    return PdfReader(io.BytesIO(content)).pages


@pytest.mark.parametrize(
    ("paper", "landscape", "size"),
    [("A4", False, (595, 842)), ("A4", True, (842, 595)), ("letter", False, (612, 792)), ("letter", True, (792, 612))],
)
def test_papers_both_ways(paper, landscape, size):
    page = Page(HEAD, FOOT, paper=paper, landscape=landscape)
    box = pages_of(page.pdf([Spacer(0, 1)]))[0].mediabox
    assert (round(box.width), round(box.height)) == size


def test_an_unknown_paper_is_refused_with_the_known_ones():
    with pytest.raises(ValueError, match="'B5' is no paper; expected A4 or letter"):
        Page(HEAD, FOOT, paper="B5")


def test_every_page_has_heading_sheet_number_and_its_place():
    content = Page(HEAD, FOOT).pdf([Sentence("one", 200), PageBreak(), Sentence("two", 200), PageBreak(), Spacer(0, 1)])
    found = [page.extract_text() for page in pages_of(content)]
    assert len(found) == 3
    for number, text in enumerate(found, 1):
        for words in (
            "Pyddle Vale Schools", "U15 Girls Long Jump", "Start list", "Saturday 12 June", f"sheet 7-{number}",
            f"page {number} of 3", "start list version 2 · printed 12 June 2027, 12:05",
        ):  # fmt: skip
            assert words in text


def test_a_long_title_is_made_to_fit_beside_the_kind():
    head = Head("Meet", "Intermediate girls and boys together long jump, " * 4, "Start list for the announcer")
    text = pages_of(Page(head, FOOT).pdf([Spacer(0, 1)]))[0].extract_text()
    assert text.replace("\n", " ").count("together long jump") == 4


@pytest.mark.parametrize("letter", ["M", "W ", "i"])
def test_a_long_name_of_the_meet_does_not_run_into_the_version(letter):
    page = Page(Head((letter * 100)[:100], "Long Jump", "Result", version="result version 145"), FOOT)
    right = page.width - width_at_one("result version 145", TEXT) * 8.5
    meet = [line for line in page._heading if line[3].strip(letter) == ""]
    assert meet
    assert all(width_at_one(text, font) * size < right for _down, font, size, text, _right in meet)


def test_the_same_values_give_the_same_bytes():
    def made():
        return Page(HEAD, FOOT).pdf([Sentence("Łukasik Соколова", 200), PageBreak(), Sentence("b", 200)])

    assert made() == made()


def test_pages_made_at_the_same_time_do_not_mix():
    """A font face has one reading position in a process."""

    def made(number):
        return Page(HEAD, FOOT).pdf([Sentence(f"number {number} Łukasik {chr(0x400 + number)}", 200)])

    alone = [made(number) for number in range(60)]
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        with ThreadPoolExecutor(8) as pool:
            for _ in range(3):
                assert list(pool.map(made, range(60))) == alone
    finally:
        sys.setswitchinterval(before)


def test_fonts_are_embedded():
    fonts = pages_of(Page(HEAD, FOOT).pdf([Sentence("Łukasik", 200)]))[0]["/Resources"]["/Font"]
    embedded = {
        font.get_object()["/BaseFont"].rpartition("+")[2]: "/FontFile2" in font.get_object()["/FontDescriptor"]
        for font in fonts.values()
        if font.get_object()["/Subtype"] == "/TrueType"
    }
    assert embedded == {"Roboto-Regular": True, "Roboto-Bold": True}


def test_a_letter_that_the_font_lacks_is_named_in_the_footer():
    assert (
        "a letter that this font does not have"
        in pages_of(Page(HEAD, FOOT).pdf([Sentence("李", 99)]))[0].extract_text()
    )
    assert "does not have" not in pages_of(Page(HEAD, FOOT).pdf([Sentence("Li", 99)]))[0].extract_text()


def test_a_qr_code_has_the_size_that_was_asked_for():
    drawing = qr_code("https://example.org/k/1", 30 * mm)
    assert (drawing.width, drawing.height) == (30 * mm, 30 * mm)
    assert pages_of(Page(HEAD, FOOT).pdf([drawing]))[0].get_contents().get_data().count(b" re") > 200


def test_a_qr_code_on_a_screen_has_the_squares_of_the_one_on_paper():
    """Whoever scans it from the screen gets the same address."""
    text = "https://example.org/k/1"
    units, path = qr_path(text)
    squares = {tuple(map(int, square.split())) for square in re.findall(r"M(\d+ \d+)h1v1h-1z", path)}
    on_paper = {
        (round(line.x) + across, round(units - line.y - 1))
        for line in qr_code(text, units).contents[0].draw().contents
        if line.fillColor is not None
        for across in range(round(line.width))
    }
    assert squares == on_paper
