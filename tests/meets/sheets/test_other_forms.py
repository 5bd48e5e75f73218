"""Wind list and protest slip."""

import pytest

from meets.sheets.documents import ProtestSlip, WindList
from meets.sheets.protest_slip import protest_slip_pdf
from meets.sheets.wind_list import wind_list_pdf
from tests.meets.sheets.made_up import about, flight
from tests.meets.sheets.reading import pages, words


def wind_list(*flights, paper="A4", **more):
    return wind_list_pdf(WindList(about(paper), "7", flights, **more))


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("athletes", [1, 8, 14, 19])
def test_a_flight_is_one_page_with_every_turn_and_bib(paper, athletes):
    found = pages(wind_list(flight(athletes), paper=paper, gauge="gauge 3"))
    assert len(found) == 1
    text = " ".join(found[0].split())
    assert " ".join(f"{line.order} {line.bib}" for line in flight(athletes).lines) in text
    for label in ("Turn Bib Round 1 Round 2 Round 3", "Turn Bib Round 4 Round 5 Round 6", "gauge 3", "sheet 7-1"):
        assert label in text


def test_more_turns_than_a_page_holds_go_on_and_none_is_lost():
    found = pages(wind_list(flight(30, "Flight 1")))
    text = " ".join(" ".join(found).split())
    assert len(found) == 2
    assert [line.bib for line in flight(30).lines if f" {line.bib} " not in text] == []


def test_each_flight_has_its_own_page():
    found = pages(wind_list(flight(8, "Flight 1"), flight(8, "Flight 2", first=30)))
    assert [page.count("Flight") for page in found] == [1, 1]


def test_without_later_rounds_there_is_one_block():
    assert "Round 4" not in words(wind_list(flight(5), later_rounds=()))


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_slip_is_one_page_with_everything_to_fill_in(paper):
    found = pages(protest_slip_pdf(ProtestSlip(about(paper), 20)))
    assert len(found) == 1
    text = " ".join(found[0].split())
    for label in (
        "U15 Girls Triple Jump", "within 20 minutes of its posting", "protest about a trial", "incident", "injury",
        "time of protest or incident", "made by", "school", "about bib", "round", "measured under protest", "wind",
        "what happened", "Referee's decision", "upheld", "not upheld", "replacement trial", "reasons", "decided at",
        "referee", "appeal to the jury",
    ):  # fmt: skip
        assert label in text
