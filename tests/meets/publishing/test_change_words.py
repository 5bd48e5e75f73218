"""What changed in a result, in sentences: one athlete's changes together, and one kind for many athletes together."""

import pytest

from meets.publishing.change_words import in_sentences
from meets.publishing.differences import changes_between
from tests.meets.publishing.documents import line, trial


def ranked(*lines):
    """Lines as they stand in a result: places and points in their order; who is disqualified stands last."""
    out = [one for one in lines if one["status"] == "DQ"]
    placed = [one for one in lines if one["status"] != "DQ"]
    for place, one in enumerate(placed, 1):
        one["place"], one["points"] = place, str(max(9 - place, 0)) if place < 9 else ""
    return {"lines": [*placed, *out]}


def athlete(bib, mark, wind=4, **values):
    return line(bib, bib, [trial(1, mark, wind)], **values)


def many(out=None, **values):
    """Twelve athletes, bib 1 the best; `out`: the bib of one who is disqualified."""
    lines = [athlete(str(n), 600 - n, **values) for n in range(1, 13)]
    return ranked(*(disqualified(one["bib"]) if one["bib"] == out else one for one in lines))


def disqualified(bib):
    return line(bib, bib, [], status="DQ", status_reason="not entitled")


def says(before, now):
    return in_sentences(changes_between(before, now))


def test_after_a_disqualification_those_below_move_up_in_one_sentence_of_each_kind():
    assert says(many(), many(out="2")) == [
        "Bib 2: place 2, now none; status none, now DQ: not entitled; best 5.98, now none; points 7, now none.",
        "One place up: bibs 3, 4, 5, 6, 7, 8, 9, 10, 11, 12.",
        "Points, by bib: 3 from 6 to 7, 4 from 5 to 6, 5 from 4 to 5, 6 from 3 to 4, 7 from 2 to 3, 8 from 1 to 2, "
        "9 from none to 1.",
    ]


def test_those_who_move_otherwise_than_the_others_are_named_with_both_places():
    before = ranked(*(athlete(str(n), 600 - n) for n in range(1, 9)))
    now = ranked(athlete("8", 640), *(athlete(str(n), 600 - n) for n in range(1, 8)))
    for one in (*before["lines"], *now["lines"]):
        one["points"] = ""
    assert says(before, now) == [
        "Bib 8: place 8, now 1; best 5.92, now 6.40.",
        "Bib 8, round 1: was 5.92, is now 6.40.",
        "One place down: bibs 1, 2, 3, 4, 5, 6, 7.",
    ]
    for one in now["lines"][1:4]:
        one["place"], one["shared"] = 2, True
    assert says(before, now)[2:] == [
        "Places, by bib: 1 from 1 to 2=, 2 from 2 to 2=, 3 from 3 to 2=.",
        "One place down: bibs 4, 5, 6, 7.",
    ]


def test_what_changed_for_two_stands_in_the_sentence_of_each():
    before = ranked(athlete("1", 540), athlete("2", 530), athlete("3", 520))
    now = ranked(athlete("2", 550), athlete("1", 540), athlete("3", 520))
    assert says(before, now) == [
        "Bib 2: place 2, now 1; best 5.30, now 5.50; points 7, now 8.",
        "Bib 2, round 1: was 5.30, is now 5.50.",
        "Bib 1: place 1, now 2; points 8, now 7.",
    ]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"wind": "owed"}, "Winds have come in or have been put right for bibs 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12"),
        ({"name": "Somebody E."}, "The names are written otherwise of bibs 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12."),
        ({"signs": ["SB"]}, "Signs, by bib: 1 from SB to none, 2 from SB to none"),
    ],
)
def test_what_changed_for_everybody_is_one_sentence(change, sentence):
    [only] = says(many(**change), many())
    assert only.startswith(sentence)
    assert "Somebody" not in only
