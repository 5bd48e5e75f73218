"""The form of a record claim, read back."""

from dataclasses import replace

import pytest

from meets.sheets.claim_form import claim_form_pdf
from meets.sheets.documents import About, ClaimSheet
from tests.meets.sheets.reading import pages, words

OPEN = ClaimSheet(
    about=About("Pyddle Vale Schools’ Jumps", "U15 girls long jump", "Saturday 12 June 2027", version="claim 7"),
    says="Beats the district record",
    mark="5.43",
    wind="+1.0",
    name="Łucja O'Farrowin",
    school="Thornwick School",
    bib="31",
    facts=(
        ("Book", "Vale district records"),
        ("To be beaten", "5.40 +0.6, Edda Hobbeck, Mirefold High, 2010"),
        ("Trial", "round 1"),
        ("Series", "5.43(+1.0) x 5.12w(+2.3) - 5.40(NWI)"),
    ),
)


def test_everything_known_of_an_open_claim_is_on_one_page():
    content = claim_form_pdf(OPEN)
    assert len(pages(content)) == 1
    text = words(content)
    for said in (
        "Beats the district record: 5.43, wind +1.0", "Łucja O'Farrowin", "Thornwick School", "31",
        "Book Vale district records", "To be beaten 5.40 +0.6, Edda Hobbeck, Mirefold High, 2010",
        "Series 5.43(+1.0) x 5.12w(+2.3) - 5.40(NWI)", "take-off judge", "measurer", "gauge operator", "referee",
        "approved", "refused", "claim 7",
    ):  # fmt: skip
        assert said in text, said


def test_who_has_confirmed_and_decided_stands_on_it():
    decided = replace(
        OPEN, board_by="J. Udge", measured_by="M. Easurer", wind_by="G. Auge",
        decided="refused by O. Rganiser, 12 June 2027, 14:00", decision="the board stood too near",
    )  # fmt: skip
    text = words(claim_form_pdf(decided))
    for said in ("J. Udge", "M. Easurer", "G. Auge", "refused by O. Rganiser", "Reasons the board stood too near"):
        assert said in text, said


def test_a_book_that_needs_no_wind_asks_for_none():
    text = words(claim_form_pdf(replace(OPEN, needs_wind=False)))
    assert ("gauge operator" in text, "This book needs no wind reading" in text) == (False, True)


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_long_names_and_facts_stay_on_one_page(paper):
    long = "Anna-Karolína Wilhelmina Vandermeulen-Featherstonehaugh " * 2
    facts = (*OPEN.facts, ("Athlete", long * 3))
    content = claim_form_pdf(
        replace(OPEN, about=replace(OPEN.about, paper=paper), name=long.strip(), school=long.strip(), facts=facts)
    )
    assert len(pages(content)) == 1
