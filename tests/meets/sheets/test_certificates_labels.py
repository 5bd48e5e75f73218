"""Certificates, labels and the medal table read back: nothing is cut, everything is on its page and on its label."""

import io
from dataclasses import replace

import pytest
from pypdf import PdfReader

from meets.sheets.certificates import certificates_pdf
from meets.sheets.for_schools import USUAL_LABELS, Certificate, LabelSheet, MedalLine, MedalTable
from meets.sheets.labels import labels_pdf, problem_with
from meets.sheets.medals import medals_pdf
from tests.meets.sheets.made_up import about, name
from tests.meets.sheets.reading import pages, size_mm, words

ONE = Certificate(
    name="Łucja O’Neil",
    school="Corrin Vale Grammar School",
    event="U15 girls long jump",
    honours=("First place", "Personal best"),
    mark="5.43",
    mark_cm=543,
    wind="+1.4",
    meet="Marrow Vale Schools’ Jumps",
    date="Saturday 13 June 2026",
)
LONG = "Konstantinos-Alexandros Παπαδημητρόπουλος-Wolfenstein O’Brien-Ó Dálaigh of the Elder Branch"
POINT_MM = 72 / 25.4


def squeezed(text):
    """Without the spaces, which a name that is broken over lines loses or gains."""
    return "".join(text.split())


@pytest.mark.parametrize(("paper", "size"), [("A4", (210, 297)), ("letter", (216, 279))])
def test_one_page_for_each_with_everything_on_it(paper, size):
    content = certificates_pdf([ONE, replace(ONE, name="Дарья Соколова", honours=("Second place",))], paper)
    assert size_mm(content) == size
    first, second = (" ".join(page.split()) for page in pages(content))
    for said in (ONE.name, ONE.school, ONE.event, *ONE.honours, ONE.mark, ONE.wind, ONE.meet, ONE.date):
        assert said in first
    assert "Дарья Соколова" in second
    assert "Personal best" not in second


@pytest.mark.parametrize("long", [LONG, *(name(number) for number in range(10))])
def test_every_name_is_there_in_whole_and_within_the_page(long):
    content = certificates_pdf([replace(ONE, name=long, school=f"School of {long}")])
    assert squeezed(long) in squeezed(pages(content)[0])
    assert [x for x in places_of_text(content) if not 20 <= x <= 575] == []


def places_of_text(content):
    """Where each text begins, from the left, in points."""
    found = []

    def visit(text, _matrix, at, _font, _size):
        if text.strip():
            found.append(at[4])

    PdfReader(io.BytesIO(content)).pages[0].extract_text(visitor_text=visit)
    return found


@pytest.mark.parametrize(
    ("cm", "triple"), [(120, False), (543, False), (799, False), (960, False), (480, True), (1790, True)]
)
def test_every_mark_lies_in_the_sand(cm, triple):
    content = certificates_pdf([replace(ONE, mark=f"{cm / 100:.2f}", mark_cm=cm, triple=triple)])
    assert f"{cm / 100:.2f}" in words(content)
    assert [x for x in places_of_text(content) if not 0 <= x <= 580] == []


def test_a_provisional_result_says_so():
    says = "Provisional result of version 1: it may still change."
    assert says in words(certificates_pdf([replace(ONE, provisional=says)]))


def test_without_any_there_is_a_page_that_says_so():
    assert "Nobody has earned" in words(certificates_pdf([]))


LABEL = ("Łucja O’Neil", "Thornwick School", "U15 girls long jump", "First place · 5.43 +1.4")


def test_labels_stand_in_their_places_after_those_that_are_used():
    """The third label across and the first of the second line, in mm from the upper left corner."""
    sheet = LabelSheet(skip=2)
    content = labels_pdf([LABEL, ("Ода Н", "", "", "")], sheet)
    where = {}

    def visit(text, _matrix, at, _font, _size):
        if text.strip():
            where[text.strip()] = (at[4] / POINT_MM, 297 - at[5] / POINT_MM)

    PdfReader(io.BytesIO(content)).pages[0].extract_text(visitor_text=visit)
    for text, column, row in ((LABEL[0], 2, 0), ("Ода Н", 0, 1)):
        x, y = where[text]
        left = sheet.left + column * (sheet.width + sheet.gap_across)
        top = sheet.top + row * sheet.height
        assert left <= x <= left + 4
        assert top < y < top + sheet.height


def test_more_labels_than_a_sheet_has_go_on_the_next():
    content = labels_pdf([LABEL] * 22, LabelSheet())
    assert [page.count("Łucja") for page in pages(content)] == [21, 1]


def test_a_long_name_stays_on_its_label():
    sheet = LabelSheet(width=40, height=20, columns=4, rows=10, left=5, top=5, gap_across=2)
    content = labels_pdf([(LONG, f"School of {LONG}", LONG, "Place 12, shared · 12.07w +3.1")], sheet)
    heights = []
    PdfReader(io.BytesIO(content)).pages[0].extract_text(
        visitor_text=lambda text, _m, at, _f, _s: heights.append(297 - at[5] / POINT_MM) if text.strip() else None
    )
    assert squeezed(LONG) in squeezed(words(content))
    assert min(heights) > sheet.top
    assert max(heights) < sheet.top + sheet.height


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        (LabelSheet(columns=4), "The labels are 268.7 mm wide together, and the paper 210.0 mm."),
        (LabelSheet(rows=8), "The labels are 319.9 mm high together, and the paper 297.0 mm."),
        (LabelSheet(skip=21), "A sheet has 21 labels: fewer of them can be used already."),
        *((sheet, "") for sheet in USUAL_LABELS.values()),
    ],
)
def test_sizes_that_cannot_be_are_refused_with_a_sentence(sheet, says):
    assert problem_with(sheet) == says
    if says:
        with pytest.raises(ValueError, match="labels"):
            labels_pdf([LABEL], sheet)


def test_the_medal_table_is_a_sheet():
    lines = (MedalLine("1", "Elmgarth Academy", 2, 0, 1), MedalLine("2", "Quarrendon Grammar", 1, 3, 0))
    text = words(medals_pdf(MedalTable(about(), "Official", lines, ("Who shares a place has it.",))))
    assert "1 Elmgarth Academy 2 0 1 3" in text
    assert "2 Quarrendon Grammar 1 3 0 4" in text
    assert "Who shares a place has it." in text


def test_a_head_wind_on_a_certificate_has_a_minus_sign():
    text = words(certificates_pdf([replace(ONE, wind="-0.3")]))
    assert ("−0.3" in text, "-0.3" in text) == (True, False)
