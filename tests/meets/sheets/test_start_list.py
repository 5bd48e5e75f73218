"""The start list on paper, for its three readers."""

import pytest

from meets.sheets.documents import Flight, For, StartList
from meets.sheets.start_list import start_list_pdf
from tests.meets.sheets.made_up import about, flight, start_lines
from tests.meets.sheets.reading import pages, size_mm, words


def drawn(*flights, reader=For.OFFICIALS, triple=True, paper="A4", **more):
    return start_list_pdf(StartList(about(paper), flights, triple, **more), reader)


def test_officials_see_everything_in_call_order():
    text = words(drawn(flight(9), records=("9.61, -0.3, 2019",), standards=("9.00",)))
    for line in start_lines(9):
        also = f" also in {line.also_in[0]}" if line.also_in else ""
        row = (
            f"{line.order} {line.bib} {line.name}{also} {line.school} {line.string} {line.year_group} "
            f"{line.seed} {line.seed_note} {line.board}"
        )
        assert row in text
    for words_on_it in (
        "U15 Girls Triple Jump",
        "Saturday 13 June 2026 · North pit · report 13:20 · start 13:50 · Jumps together with U17 Girls Triple Jump",
        "3 trials, best 8 get 3 more; with 8 starters or fewer all take 6",
        "start list version 2 · printed 13 June 2026, 12:05",
        "Record 9.61, -0.3, 2019",
        "Standard 9.00",
    ):
        assert words_on_it in text


def test_boards_stand_on_lists_of_the_triple_jump_only():
    assert "Board" in words(drawn(flight(2)))
    text = words(drawn(flight(2), triple=False))
    assert "Board" not in text
    assert "9 m" not in text


def test_the_announcer_sees_how_to_say_a_name():
    text = words(drawn(flight(8), reader=For.ANNOUNCER))
    for line in start_lines(8):
        assert f"{line.order} {line.bib} {line.name}" in text
    assert text.count("BREED") == 2


def test_the_announcers_letters_are_larger_and_the_list_still_fits_a_page():
    official, announcer = drawn(flight(14)), drawn(flight(14), reader=For.ANNOUNCER)
    assert len(pages(official)) == len(pages(announcer)) == 1
    assert largest_in_rows(announcer) > 1.5 * largest_in_rows(official)


def largest_in_rows(content):
    """The largest size in which a bib is set."""
    import io

    from pypdf import PdfReader

    sizes = []

    def visit(text, _cm, _tm, _font, size):
        if text.strip().isdecimal():
            sizes.append(size)

    PdfReader(io.BytesIO(content)).pages[0].extract_text(visitor_text=visit)
    return max(sizes)


def test_the_steward_has_two_boxes_to_tick_for_each_athlete():
    content = drawn(flight(10), reader=For.STEWARD)
    assert "Present Away" in words(content)
    assert squares(content) == 20
    assert squares(drawn(flight(10))) == 0


def squares(content):
    import io
    import re

    from pypdf import PdfReader

    drawn_on_it = PdfReader(io.BytesIO(content)).pages[0].get_contents().get_data().decode("latin1")
    return sum(w == h for w, h in re.findall(r"[\d.]+ [\d.]+ ([\d.]+) ([\d.]+) re", drawn_on_it))


@pytest.mark.parametrize("reader", list(For))
def test_sixty_athletes_break_with_headings_and_none_is_lost(reader):
    flights = [flight(15, f"Flight {number}", first=15 * number) for number in range(1, 5)]
    found = pages(drawn(*flights, reader=reader))
    assert len(found) > 1
    for number, page in enumerate(found, 1):
        assert "U15 Girls Triple Jump" in page
        assert f"page {number} of {len(found)}" in page
        assert "Bib" in page
    text = " ".join(" ".join(found).split())
    for one in flights:
        for line in one.lines:
            assert f"{line.order} {line.bib} {line.name}" in text


@pytest.mark.parametrize(("paper", "size"), [("A4", (210, 297)), ("letter", (216, 279))])
def test_paper(paper, size):
    assert size_mm(drawn(flight(3), paper=paper)) == size


def test_an_empty_event_says_so():
    assert "Nobody is entered yet." in words(drawn(Flight("", ())))


def test_the_same_list_gives_the_same_bytes():
    assert drawn(flight(20)) == drawn(flight(20))
