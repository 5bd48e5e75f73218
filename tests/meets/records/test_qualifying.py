"""Who goes on to the next meet: by place, by standard, school by school."""

from datetime import date

import pytest

from meets.records.qualifying import how_to_qualify
from meets.records.reads import qualifiers
from tests.factories import EventFactory, NextMeetFactory, StandardFactory
from tests.meets.publishing.documents import document, line, trial

pytestmark = pytest.mark.django_db
ELG = {"code": "ELG", "name": "Elmgarth Academy"}


@pytest.fixture
def event():
    return EventFactory(name="U15 girls long jump", discipline="LJ", category="girls", age_group="U15")


def result(event, *lines, **values):
    return document(event={"number": event.pk, "name": event.name}, lines=list(lines), **values)


def going_on(event, *lines, **values):
    found = qualifiers(event.meet, [result(event, *lines, **values)])
    return {code: [(one.bib, one.says) for one in own] for code, own in found.schools.items()}


def test_nobody_goes_on_where_no_next_meet_is_set(event):
    assert qualifiers(event.meet, [result(event)]) is None


def test_the_first_places_go_on_with_everybody_who_shares_the_last_and_no_guest(event):
    NextMeetFactory(meet=event.meet, places=2)
    assert going_on(
        event,
        line("1", "1", [trial(1, 560, 3)], guest=True),
        line("2", "2", [trial(1, 543, 3)], place=1),
        line("3", "3", [trial(1, 530, 3)], place=2, shared=True, school=ELG),
        line("4", "4", [trial(1, 530, 3)], place=2, shared=True),
        line("5", "5", [trial(1, 520, 3)], place=4),
        line("6", "6", [trial(1, "x")]),
        line("7", "7", [], status="DQ"),
    ) == {"ELG": [("3", "place 2")], "THW": [("2", "place 1"), ("4", "place 2")]}


@pytest.mark.parametrize(
    ("series", "says"),
    [
        ([trial(1, 500, 14)], "standard Silver"),
        ([trial(1, 499, 14)], None),
        ([trial(1, 510, "NWI")], "standard Silver"),
        ([trial(1, 510, 21)], None),
        ([trial(1, 510, "owed")], None),
        ([trial(1, 510, 21), trial(2, 501, 20)], "standard Silver"),
        ([trial(1, 510, 3, counts=False), trial(2, 480, 3)], None),
    ],
)
def test_the_standard_goes_by_the_marks_that_count_for_standards(event, series, says):
    NextMeetFactory(meet=event.meet, places=0, standard="Silver")
    for name, mark in (("Bronze", 450), ("Silver", 500), ("Gold", 550)):
        StandardFactory(meet=event.meet, name=name, mark=mark)
    found = going_on(event, line("1", "1", series, place=9))
    assert found == ({"THW": [("1", says)]} if says else {})


def test_place_and_standard_are_both_said(event):
    NextMeetFactory(meet=event.meet, places=1, standard="Silver")
    StandardFactory(meet=event.meet, name="Silver", mark=500)
    assert going_on(event, line("1", "1", [trial(1, 510, 3)], place=1)) == {
        "THW": [("1", "place 1 and standard Silver")]
    }


def test_date_and_reply_stand_with_the_list_and_what_is_still_open(event):
    other = EventFactory(meet=event.meet)
    NextMeetFactory(meet=event.meet, places=2, reply_to="secretary@example.org")
    found = qualifiers(event.meet, [result(event)])
    assert (found.name, found.date, found.reply_by, found.reply_to) == (
        "County schools' jumps", date(2027, 7, 3), date(2027, 6, 19), "secretary@example.org",
    )  # fmt: skip
    assert (found.how, found.provisional, found.waiting) == (
        "The first 2 of each event qualify.", (event.name,), (other.name,),
    )  # fmt: skip
    assert qualifiers(event.meet, [result(event, status="official")]).provisional == ()


@pytest.mark.parametrize(
    ("places", "standard", "says"),
    [
        (1, "", "The first of each event qualifies."),
        (2, "", "The first 2 of each event qualify."),
        (2, "Gold", "The first 2 of each event qualify, and whoever has reached the standard Gold."),
        (0, "Gold", "Whoever has reached the standard Gold qualifies."),
        (0, "", "Nobody qualifies yet: neither places nor a standard are set."),
    ],
)
def test_how_one_qualifies_in_a_sentence(places, standard, says):
    assert how_to_qualify(places, standard) == says


def test_a_wind_assisted_best_is_shown_as_such(event):
    NextMeetFactory(meet=event.meet, places=1)
    found = qualifiers(event.meet, [result(event, line("1", "1", [trial(1, 543, 21)], place=1))])
    assert [(one.mark, one.wind) for one in found.schools["THW"]] == [("5.43w", "+2.1")]


def test_a_place_of_an_impairment_class_is_said_as_that(event):
    NextMeetFactory(meet=event.meet, places=1)
    assert going_on(event, line("1", "1", [trial(1, 543, 3)], place=1, klass="T20")) == {
        "THW": [("1", "place 1 of class T20")]
    }
