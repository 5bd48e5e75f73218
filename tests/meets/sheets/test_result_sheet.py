"""The result sheet on paper, from invented values."""

import dataclasses

import pytest

from meets.sheets.documents import ResultLine
from meets.sheets.result_sheet import result_sheet_pdf
from tests.meets.sheets.made_up import about, result
from tests.meets.sheets.reading import pages, size_mm, words


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("athletes", [1, 8, 9, 20])
def test_up_to_twenty_athletes_are_one_page(paper, athletes):
    content = result_sheet_pdf(result(athletes, paper))
    assert len(pages(content)) == 1
    assert size_mm(content) == {"A4": (210, 297), "letter": (216, 279)}[paper]


@pytest.mark.parametrize("rounds", [2, 3, 4, 6])
def test_every_value_is_on_it_row_by_row(rounds):
    sheet = result(20, rounds=rounds)
    text = words(result_sheet_pdf(sheet))
    for line in sheet.lines:
        series = " ".join(f"{trial} {wind}" for trial, wind in line.series)
        who = f"{line.school} · {line.string} · year {line.year_group}"
        best = " ".join(part for part in (line.best, line.best_wind, *line.marks, line.points) if part)
        assert f"{line.place} {line.bib} {line.name} {who} {series} {best}" in text
    for words_on_it in (
        "Provisional posted at 14:22 · protests to the referee before 14:52", "result version 41",
        *sheet.tie_notes, *sheet.remarks, sheet.wind_note, "x failed",
    ):  # fmt: skip
        assert words_on_it in text


def test_the_cut_stands_between_those_who_went_on_and_the_rest():
    text = words(result_sheet_pdf(result(12)))
    assert text.index("8 208 ") < text.index("Cut after round 3: 8 went on") < text.index("9 209 ")


def test_best_legal_and_points_have_columns_only_where_there_are_any():
    sheet = result(9)
    assert "Best legal" not in words(result_sheet_pdf(sheet))
    bare = dataclasses.replace(sheet, lines=tuple(dataclasses.replace(line, points="") for line in sheet.lines))
    assert "Points" not in words(result_sheet_pdf(bare))
    windy = dataclasses.replace(sheet.lines[0], best="9.80w", best_wind="+2.4", legal="9.61", legal_wind="+1.9")
    text = words(result_sheet_pdf(dataclasses.replace(sheet, lines=(windy, *sheet.lines[1:]))))
    assert "Best Best legal Points" in text
    assert "9.80w +2.4 PB 9.61 +1.9 8" in text


def test_before_it_is_posted_there_are_blanks_for_the_times():
    sheet = dataclasses.replace(result(3), posted_at="", protests_before="")
    text = words(result_sheet_pdf(sheet))
    assert "posted at ______ · protests to the referee before ______ (30 minutes later)" in text


def test_quarter_inches_are_never_broken():
    line = ResultLine(
        "1", "7", "Amy", "School", best="16-11.75w", series=(("16-11.75w", "+2.4"), ("(16-10.50)", "NWI"))
    )
    text = words(result_sheet_pdf(dataclasses.replace(result(0), lines=(line,))))
    assert "16-11.75w +2.4 (16-10.50) NWI" in text


def test_classes_have_a_line_of_their_own():
    lines = (ResultLine("1", "7", "Amy", "S", best="4.44"), ResultLine("1", "8", "Bo", "S", best="3.33", klass="T20"))
    text = words(result_sheet_pdf(dataclasses.replace(result(0), lines=lines)))
    assert text.index("4.44") < text.index("Class T20") < text.index("3.33")


def test_sixty_athletes_go_on_with_the_heading_repeated():
    sheet = result(60)
    found = pages(result_sheet_pdf(sheet))
    assert [page.count("Trial 6") for page in found] == [1 if "Academy" in page else 0 for page in found]
    assert sum("Academy" in page for page in found) > 1
    text = " ".join(" ".join(found).split())
    assert [line.bib for line in sheet.lines if f"{line.place} {line.bib} {line.name}" not in text] == []


def test_nobody_yet():
    assert "Nobody has jumped yet." in words(result_sheet_pdf(dataclasses.replace(result(0), about=about())))
