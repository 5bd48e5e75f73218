"""A pack as it is read: its PDF and its table say what its JSON says, and nobody else's full name."""

import csv
import io
import json
import re

import pytest
from pypdf import PdfReader

from meets.models import Mailing, SchoolPack
from meets.publishing.packs.build import Drawing
from meets.publishing.packs.reads import documents_of, newest_packs, since_packs
from tests.factories import NextMeetFactory
from tests.meets.publishing.documents import best, trial
from tests.meets.publishing.packs.days import PublishedDay
from tests.meets.sheets.reading import pages, size_mm, words

ATHLETE = re.compile(r"(?m)^(\d+=?|G|–) (.+?) (\d+\.\d\dw?|NM|DNS|DQ)\s")
TRIAL = re.compile(r"^(?:\d\.\d\dw?|[-xro])$")


@pytest.fixture
def whole(db):
    """Everything that a pack can say: shared places, a standard, a record, a next meet, a trial under protest."""
    day = PublishedDay()
    NextMeetFactory(meet=day.meet, places=1, reply_to="jumps@example.org")
    first, second = day.events
    shared = {"place": 1, "shared": True, "points": "7 1/2"}
    own = {**shared, "signs": ["PB"], "standard": "Step 2", "records": ["district record (claim)"]}
    held = {"series": [trial(1, 533, 14), trial(2, "held")]}
    day.result(first, changes={0: own, 1: {**shared, **held}})
    day.result(second, changes={2: {"place": None, "status": "DQ", "status_reason": "Unfit shoes", "best": None}})
    day.standings((1, "15 1/2"), (2, "14"), (3, "12"))
    day.packs()
    return day


def pack_of(day, number=0):
    return SchoolPack.objects.filter(school=day.schools[number]).latest("version")


def first_page(pack):
    """Without what a reader of PDFs puts before and behind the lines of a text."""
    return "\n".join(line.strip() + " " for line in pages(bytes(pack.pdf))[0].splitlines())


@pytest.mark.parametrize("number", [0, 1, 2])
def test_the_first_page_has_every_line_of_the_json(whole, number):
    pack = pack_of(whole, number)
    said = [
        (
            f"{line['place']}=" if line["shared"] else str(line["place"]) if line["place"] else "–",
            line["name"],
            line["best"]["shown"] if line["best"] else line["status"],
        )
        for event in json.loads(pack.document)["events"]
        for line in event["lines"]
    ]
    assert ATHLETE.findall(first_page(pack)) == said


def test_the_first_page_says_all_that_a_school_asks(whole):
    first, second = (event.name for event in whole.events)
    assert words_of(first_page(pack_of(whole))) == words_of(
        f"""Spring jumps Thornwick School Results Saturday 12 June 2027 · Pyddle Vale pack version 1
        Team Place 1 of 3, 15½ points standings: provisional
        {first} provisional
        1= Łucja O’Neil 5.43 bib 1 · Step 2 · district record (claim) · goes through if the result stands
        +1.4 · PB · 7½ pts
        {second} provisional
        1 Łucja O’Neil 5.43 bib 1 · goes through if the result stands +1.4 · 8 pts
        Next meet County schools' jumps · Saturday 3 July 2027 · Vennaside
        Łucja O’Neil: {first}, place 1 Łucja O’Neil: {second}, place 1
        Reply by Saturday 19 June to jumps@example.org.
        Still open Provisional: all these results. Protests to the referee before 15:52.
        {first}: a trial of another school is under protest, so places may change.
        pack version 1 · made 12 June 2027, 11:00 page 1 of 4"""
    )


def words_of(text):
    return " ".join(text.split())


def test_the_first_page_has_the_shape_of_a_phone_and_the_others_are_paper(whole):
    drawn = PdfReader(io.BytesIO(bytes(pack_of(whole).pdf)))
    boxes = [(round(float(page.mediabox.width)), round(float(page.mediabox.height))) for page in drawn.pages]
    assert boxes == [(330, 600), (595, 842), (595, 842), (595, 842)]


def test_own_series_are_those_of_the_json(whole):
    pack = pack_of(whole)
    cells = pages(bytes(pack.pdf))[1].split()
    shown = [cell for cell in cells if TRIAL.match(cell)]
    said = [
        trial["shown"] + ("w" if trial["wind"] and trial["wind"].get("legal") is False else "")
        for event in json.loads(pack.document)["events"]
        for line in event["lines"]
        for trial in (*line["series"], line["best"])
    ]
    assert shown == said


def test_the_full_results_are_as_the_public_has_them(whole):
    """Everybody's line is there, other schools' pupils as the public sees them."""
    whole_text = words(bytes(pack_of(whole).pdf))
    for event in whole.events:
        for number, school in enumerate(whole.schools):
            athlete = whole.entry(event, school).athlete
            assert f"{athlete.first_name} {athlete.last_name[0]}." in whole_text
            assert (str(athlete) in whole_text) is (number == 0)


def test_the_table_says_what_the_json_says(whole):
    pack = pack_of(whole)
    rows = list(csv.DictReader(io.StringIO(pack.csv.lstrip("\ufeff"))))
    lines = [(event, line) for event in json.loads(pack.document)["events"] for line in event["lines"]]
    assert [
        (row["Event"], row["Name"], row["Place"], row["Best"], row["T1"], row["T2"], row["Points"], row["Records"])
        for row in rows
    ] == [
        (
            event["name"], line["name"], f"{line['place']}{'=' if line['shared'] else ''}", line["best"]["shown"],
            line["series"][0]["shown"], line["series"][1]["shown"],
            line["points"].replace(" 1/2", "½"), ", ".join(line["records"]),
        )
        for event, line in lines
    ]  # fmt: skip


def test_no_cell_of_the_table_is_run_as_a_formula(db):
    day = PublishedDay(schools=1)
    athlete = day.entry(day.events[0], day.schools[0]).athlete
    athlete.first_name = "=1+1;"
    athlete.save()
    day.all_results().packs()
    rows = list(csv.DictReader(io.StringIO(pack_of(day).csv.lstrip("\ufeff"))))
    assert rows[0]["Name"].startswith("'=1+1;")


def test_changed_lines_have_a_bar_and_a_word(whole):
    before = bars(bytes(pack_of(whole).pdf))
    whole.in_line()
    Mailing.objects.update(state="sent")
    whole.result(whole.events[1], changes={0: {"points": "7"}}, reason="Typed wrong")
    whole.packs()
    pack = pack_of(whole)
    assert "bib 1 · changed" in words_of(first_page(pack))
    assert f"{whole.events[1].name}: Bib 1: points were 8, are now 7." in words_of(first_page(pack))
    # Beside what changed in words, beside the line on the first page, and beside its series.
    assert (before, bars(bytes(pack.pdf))) == ([0, 0, 0, 0], [2, 1, 0, 0])


def bars(content):
    """How many thick upright lines each page has in its margin."""
    found = []
    for page in PdfReader(io.BytesIO(content)).pages:
        drawn = page.get_contents().get_data().decode("latin1")
        found.append(len(re.findall(r"2\.4 w\s+n -5 ", drawn)))
    return found


def test_all_packs_are_one_file_on_paper_with_page_numbers_of_their_own(whole):
    rows = list(newest_packs(whole.meet))
    content = Drawing(whole.meet, documents_of(rows)).all_to_print(rows)
    assert size_mm(content) == (210, 297)
    last = [re.search(r"page (\d) of (\d)", page).groups() for page in pages(content)]
    assert last == [("1", "4"), ("2", "4"), ("3", "4"), ("4", "4")] * 3
    titles = [page.splitlines()[1] for page in pages(content)[::4]]
    assert titles == sorted(f"{school.name} Results" for school in whole.schools)


def test_a_large_event_breaks_over_pages_with_its_heading_again(db):
    day = PublishedDay(schools=60, events=1).all_results()
    day.packs()
    drawn = pages(bytes(pack_of(day).pdf))
    title = f"{day.events[0].name} · Provisional · version 1"
    assert [title in page for page in drawn] == [False, False, True, True]
    assert f"{title}, continued" in drawn[3]


def test_the_same_pack_is_drawn_into_the_same_bytes(whole):
    pack = pack_of(whole)
    assert Drawing(whole.meet, documents_of([pack])).pdf(json.loads(pack.document)) == bytes(pack.pdf)


def test_printed_later_a_pack_has_the_results_that_it_was_made_from(whole):
    """A newer version that is in no pack yet does not stand beside older lines of the school's own."""
    before = list(newest_packs(whole.meet))
    assert not since_packs(whole.meet).published
    whole.result(whole.events[1], changes={2: {"points": "1"}}, reason="Typed wrong")
    assert since_packs(whole.meet).published
    text = words(Drawing(whole.meet, documents_of(before)).all_to_print(before))
    assert f"{whole.events[1].name} · Provisional · version 1" in text
    assert "version 2" not in text
    whole.packs()
    assert not since_packs(whole.meet).published


def test_a_pack_names_the_class_above_whose_places_somebody_stands(db):
    day = PublishedDay(events=1)
    against = {"klass": "T20", "place": 1, "best": best(512, -4), "series": [trial(1, 512, -4)]}
    day.result(day.events[0], changes={1: against})
    day.packs()
    assert "bib 2 · class T20" in words_of(first_page(pack_of(day, 1)))
    assert "class" not in words_of(first_page(pack_of(day, 0)))
    tables = [list(csv.DictReader(io.StringIO(pack_of(day, n).csv.lstrip("\ufeff")))) for n in (0, 1)]
    assert ["Class" in tables[0][0], tables[1][0]["Class"], tables[1][0]["Wind"]] == [False, "T20", "-0.4"]
