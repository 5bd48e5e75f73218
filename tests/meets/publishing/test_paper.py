"""The PDF of a version read back: it says what its JSON says, whatever the letters, however many athletes."""

import io
import subprocess

import pytest
from pypdf import PdfReader
from reportlab.graphics.barcode.qr import QrCodeWidget

from athletes.paper.qr import BORDER, LEVEL
from meets.publishing.canonical import canonical, sha256_of
from meets.publishing.differences import changes_between
from meets.publishing.document import draft_of
from meets.publishing.pdf import pdf_of
from meets.publishing.sheet import csv_of
from meets.running.actions import DESK, disqualify
from meets.sheets.published import SIDE
from tests.factories import START, MeetFactory, SchoolFactory
from tests.meets.publishing.documents import document, line, school, standings, trial
from tests.meets.publishing.logs import document_of, played_event

NAMES = ["Siân O'Hara-D’Arcy", "Željka Đorđević", "Søren Ångström", "Анна Щукина", "Νεφέλη Παππά", "Łucja Wróbel"]


def pages_of(found):
    reader = PdfReader(io.BytesIO(pdf_of(found, sha256_of(canonical(found)))))
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def words_of(found):
    return " ".join(pages_of(found))


def many(number):
    marks = sorted((430 + n * 2 for n in range(number)), reverse=True)
    return [
        line(
            str(n), str(n), [trial(1, mark, 4), trial(2, "x"), trial(3, mark - 3, -2)], name=f"Athlete no {n}", place=n
        )
        for n, mark in enumerate(marks, 1)
    ]


def test_it_says_what_its_document_says():
    found = document()
    words, own = words_of(found), sha256_of(canonical(found))
    assert "Provisional published 15:22 by O. Rganiser · protests to the referee before 15:52" in words
    assert f"version 1 · hash {own[:12]}" in words
    assert found["address"] in words
    for each in found["lines"]:
        shown = [each["bib"], each["name"], each["school"]["name"], *(one["shown"] for one in each["series"])]
        shown += [one["wind"]["shown"] for one in each["series"] if one["wind"]]
        shown += [each["best"]["shown"]] if each["best"] else [each["status"]]
        assert [text for text in shown if text and text not in words] == []


@pytest.mark.parametrize("name", NAMES)
def test_names_in_all_letters(name):
    found = document()
    found["lines"][0]["name"] = name
    assert name in words_of(found)
    assert name in csv_of(found, "")


def test_sixty_athletes_break_over_pages_with_headings():
    pages = pages_of(document(lines=many(60)))
    assert len(pages) > 1
    for number, page in enumerate(pages, 1):
        assert "Spring jumps" in page
        assert f"page {number} of {len(pages)}" in page
    with_table = [page for page in pages if "Athlete no" in page]
    assert all("Name, school" in page for page in with_table)
    assert sum(page.count("Athlete no") for page in pages) == 60


def test_twenty_athletes_stand_on_one_page():
    assert len(pages_of(document(lines=many(20)))) == 1


def test_an_amended_sheet_says_why_and_what():
    changes = [
        {"entry": "107", "bib": "7", "what": what, "was": was, "now": now, "says": "unused"}
        for what, was, now in (("place", "3", "2"), ("points", "6", "7"))
    ]
    found = document(
        status="amended",
        version=3,
        reason="bib 9 was not entitled",
        published_at="2027-06-19T09:00:00Z",
        protests_until=None,
        supersedes={"version": 2, "sha256": "0" * 64},
        changes=changes,
    )
    words = words_of(found)
    assert "Amended published 19 June 2027, 10:00 by O. Rganiser" in words
    assert "Takes the place of version 2. Reason: bib 9 was not entitled" in words
    assert "Bib 7: place 3, now 2; points 6, now 7." in words


def test_without_an_address_there_is_no_code():
    assert "The newest version" not in words_of(document(address=""))


@pytest.mark.django_db
def test_team_standings():
    found = standings(
        MeetFactory(), schools=[school("THW", "Thornwick School", 1, "7 1/2"), school("ELG", "Elm", 2, "3")]
    )
    found["schools"][1]["penalties"] = [{"points": "-4", "reason": "late entry"}]
    words = words_of(found)
    for shown in ("1 Thornwick School 7½", "2 Elm 3 −4", "Elm: −4 points, late entry."):
        assert shown in words
    assert "Thornwick School,7½,,7½" in csv_of(found, "")


@pytest.mark.slow
def test_the_code_can_be_read_from_paper(tmp_path, pdftoppm):
    """Nothing here reads codes: the squares on paper are those that ReportLab's widget made, one by one."""
    found = document()
    path = tmp_path / "sheet.pdf"
    path.write_bytes(pdf_of(found, sha256_of(canonical(found))))
    subprocess.run([pdftoppm, "-gray", "-r", "600", "-singlefile", path, tmp_path / "page"], check=True)
    picture = (tmp_path / "page.pgm").read_bytes()
    _magic, size, _depth, pixels = picture.split(b"\n", 3)
    width, height = map(int, size.split())
    code = QrCodeWidget(found["address"], barLevel=LEVEL).qr
    code.make()
    many_squares = code.getModuleCount()
    step = SIDE / 72 * 600 / (many_squares + 2 * BORDER)
    left, top = _corner(pixels, width, height, step)
    wrong = [
        (down, across)
        for down in range(many_squares)
        for across in range(many_squares)
        if (pixels[round(top + (down + 0.5) * step) * width + round(left + (across + 0.5) * step)] < 128)
        is not bool(code.isDark(down, across))
    ]
    assert wrong == []


def _corner(pixels, width, height, step):
    """Where the upper left square of the code begins: the first dark run of seven squares right of the middle."""
    for y in range(height // 20, height // 4):
        row = pixels[y * width : (y + 1) * width]
        x = width * 3 // 5
        while x < width:
            if row[x] < 128:
                end = x
                while end < width and row[end] < 128:
                    end += 1
                below = pixels[round(y + 3.5 * step) * width + round(x + 3.5 * step)]
                if abs(end - x - 7 * step) < 3 and below < 128:
                    return x, y
                x = end
            x += 1
    raise AssertionError("no code on the page")


@pytest.mark.django_db
@pytest.mark.parametrize("seed", [3, 5, 8])
def test_twenty_athletes_stand_on_one_page_after_a_disqualification_that_moves_everybody(seed):
    event = played_event(seed=seed, entries=20)
    schools = SchoolFactory.create_batch(10)
    for number, entry in enumerate(event.entries.select_related("athlete")):
        entry.athlete.school = schools[number % 10]
        entry.athlete.save()
    first = document_of(event)
    second = next(one["entry"] for one in first["lines"] if one["place"] == 2)
    disqualify(event_id=event.pk, entry=second, by="R. Feree", recorder=DESK, now=START, reason="two schools")
    changes = changes_between(first, draft_of(event, START))
    assert len({change["entry"] for change in changes}) > 12
    found = document_of(
        event,
        status="amended",
        version=3,
        reason="the athlete of place 2 was entered by two schools and was not entitled to compete",
        address="https://jumps.example.org/results/spring-jumps/12/",
        changes=changes,
    )
    found["supersedes"] = {"version": 2, "sha256": "0" * 64}
    [page] = pages_of(found)
    assert "One place up: bibs " in page
