"""The codes on paper: what stands on each card, and what the code itself holds."""

import pytest
from reportlab.graphics.barcode.qr import QrCodeWidget

from meets.sheets.documents import About, CodeCard, CodeSheet
from meets.sheets.keys import codes_pdf
from tests.meets.sheets.reading import pages, size_mm, words

PAGE = "https://192.0.2.7:8443/pit/phone/"


def card(number: int, **more) -> CodeCard:
    typed = f"abcdefgh23456789abcdefgh{number:02}"
    known = {"roles": "Recorder", "pit": "North pit, 10:20", "session": "U15 girls long jump"}
    return CodeCard(f"{PAGE}#k={typed}", PAGE, typed, **{**known, **more})


def drawn(*cards: CodeCard, paper: str = "A4") -> bytes:
    about = About(meet="", event="Spring jumps", date="Saturday 12 June 2027", printed="printed today", paper=paper)
    return codes_pdf(CodeSheet(about, "Sunday 13 June 2027", cards))


def test_a_card_says_who_it_is_for_and_what_to_do():
    text = words(drawn(card(1, roles="Recorder and wind gauge operator")))
    for sentence in (
        "Spring jumps · Saturday 12 June 2027",
        "Recorder and wind gauge operator",
        "North pit, 10:20",
        "U15 girls long jump",
        "1 Point the phone's camera at the code and open the address it shows.",
        "2 Type your name and press “Come in”.",
        "3 Start when the page says who is up.",
        "If it does not work: write on paper, every trial, and tell the desk.",
        f"No camera: open {PAGE} and type abcdefgh23456789abcdefgh01",
        "Lets phones in until Sunday 13 June 2027.",
    ):
        assert sentence in text


@pytest.mark.parametrize(("many", "expected"), [(1, [1]), (3, [3]), (4, [3, 1]), (7, [3, 3, 1])])
@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_three_cards_lie_on_a_page(many, expected, paper):
    content = drawn(*(card(number) for number in range(many)), paper=paper)
    assert [page.count("Come in") for page in pages(content)] == expected
    assert size_mm(content) == ((210, 297) if paper == "A4" else (216, 279))


def test_the_code_holds_the_address_of_its_own_card(monkeypatch):
    """What the widget was given is looked at; that it is drawn, by the rectangles on the page."""
    held = []
    make = QrCodeWidget.__init__

    def noted(self, value=None, **more):
        held.append(value)
        make(self, value, **more)

    monkeypatch.setattr(QrCodeWidget, "__init__", noted)
    cards = [card(1), card(2, roles="Referee")]
    drawn(*cards)
    assert held == [one.address for one in cards]


def test_no_card_is_cut_off_by_long_words():
    long = card(1, roles="Recorder, wind gauge operator and referee", session="U15 girls long jump + " * 5)
    assert len(pages(drawn(long, card(2), card(3)))) == 1
    assert "Recorder, wind gauge operator and referee" in words(drawn(long))


def test_the_same_cards_give_the_same_bytes():
    assert drawn(card(1)) == drawn(card(1))
