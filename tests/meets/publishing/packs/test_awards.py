"""Medal table and certificates from published results."""

import pytest

from meets.publishing.packs.awards import Wanted, awards_of, envelopes, label_of
from meets.publishing.packs.medals import medal_lines, medal_table
from meets.publishing.packs.sources import sources_of
from tests.factories import START
from tests.meets.publishing.documents import best, document, line, trial
from tests.meets.publishing.packs.days import PublishedDay


def placed(school, place, *, guest=False, **values):
    return line(
        "1", "1", [trial(1, 500, 3)], school={"code": school, "name": school}, place=place, guest=guest, **values
    )


@pytest.mark.parametrize(
    ("events", "table"),
    [
        ([[("Elm", 1), ("Oak", 2), ("Ash", 3)]], ["1 Elm 1 0 0", "2 Oak 0 1 0", "3 Ash 0 0 1"]),
        # Two share the first place: two firsts, no second.
        ([[("Elm", 1), ("Oak", 1), ("Ash", 3)]], ["1= Elm 1 0 0", "1= Oak 1 0 0", "3 Ash 0 0 1"]),
        ([[("Elm", 1), ("Oak", 2), ("Oak", 2), ("Oak", 4)]], ["1 Elm 1 0 0", "2 Oak 0 2 0"]),
        # One first is more than any number of seconds.
        ([[("Elm", 2), ("Elm", 2), ("Oak", 3)], [("Oak", 1)]], ["1 Oak 1 0 1", "2 Elm 0 2 0"]),
        # Below third there is none; the school stands in the table all the same.
        ([[("Elm", 1), ("Ash", 4)]], ["1 Elm 1 0 0", "2 Ash 0 0 0"]),
        ([[("Elm", None), ("Ash", None)]], ["1= Ash 0 0 0", "1= Elm 0 0 0"]),
    ],
)
def test_schools_stand_by_firsts_then_seconds_then_thirds(events, table):
    documents = [document(lines=[placed(school, place) for school, place in lines]) for lines in events]
    assert [
        f"{one.place} {one.school} {one.firsts} {one.seconds} {one.thirds}" for one in medal_lines(documents)
    ] == table


def test_a_guest_wins_no_medal():
    documents = [document(lines=[placed("Elm", None, guest=True), placed("Oak", 1)])]
    assert [(one.school, one.total) for one in medal_lines(documents)] == [("Oak", 1), ("Elm", 0)]


def test_a_school_whose_name_was_put_right_is_one_school():
    before, after = ({"code": "ELM", "name": name} for name in ("Elm Scool", "Elm School"))
    documents = [
        document(lines=[{**placed("Elm", 1), "school": after}], published_at="2027-06-12T15:00:00Z"),
        document(lines=[{**placed("Elm", 2), "school": before}], published_at="2027-06-12T14:00:00Z"),
    ]
    assert [(one.place, one.school, one.firsts, one.seconds) for one in medal_lines(documents)] == [
        ("1", "Elm School", 1, 1)
    ]


def test_the_table_says_what_is_not_final(db):
    day = PublishedDay()
    day.result(day.events[0])
    table = medal_table(sources_of(day.meet), START)
    assert table.status == "In progress"
    assert table.notes[1:] == (f"Provisional: {day.events[0].name}.", f"Not published yet: {day.events[1].name}.")
    for event in day.events:
        day.result(event, status="official", protests_until=None)
    table = medal_table(sources_of(day.meet), START)
    assert (table.status, len(table.notes)) == ("Official", 1)


@pytest.fixture
def official(db):
    day = PublishedDay(events=1)
    windy = {
        "best": best(560, 31),
        "series": [trial(1, 560, 31), trial(2, 541, 12)],
        "signs": ["PB"],
        "standard": "Step 2",
    }
    day.result(
        day.events[0],
        status="official",
        protests_until=None,
        changes={0: {"shared": True, "standard": "Step 3"}, 1: {"place": 1, "shared": True}, 2: {"place": 3, **windy}},
    )
    return day


def honours(day, **wanted):
    return [
        (one.name, *one.honours, one.mark) for one in awards_of(sources_of(day.meet), Wanted(**wanted)).certificates
    ]


def test_what_is_chosen_is_what_is_printed(official):
    first, second, third = (str(official.entry(official.events[0], school).athlete) for school in official.schools)
    assert honours(official) == [
        (first, "Equal first place", "5.43"),
        (second, "Equal first place", "5.33"),
        (third, "Third place", "5.60w"),
    ]
    assert honours(official, places=0, standards=True) == [
        (first, "Standard: Step 3", "5.43"),
        # Reached with the legal mark, not with the windy one that counts for the place.
        (third, "Standard: Step 2", "5.41"),
    ]
    assert honours(official, places=0, bests=True) == [(third, "Personal best", "5.41")]
    assert honours(official, places=3, bests=True)[2] == (third, "Third place", "Personal best", "5.60w")


def test_a_guest_has_no_place_and_may_reach_a_standard(official):
    event = official.events[0]
    guest = {"place": None, "guest": True, "standard": "Step 3"}
    official.result(event, status="amended", protests_until=None, changes={0: guest}, reason="A guest")
    name = str(official.entry(event, official.schools[0]).athlete)
    assert name not in [one[0] for one in honours(official)]
    assert (name, "Standard: Step 3", "5.43") in honours(official, places=0, standards=True)


def test_a_provisional_result_is_left_out_or_says_that_it_is_one(db):
    day = PublishedDay(events=1).all_results()
    sources = sources_of(day.meet)
    assert awards_of(sources, Wanted()).left_out == (day.events[0].name,)
    found = awards_of(sources, Wanted(provisional=True)).certificates
    assert {one.provisional for one in found} == {"Provisional result of version 1: it may still change."}


def test_a_label_has_name_school_event_place_and_mark(official):
    first = awards_of(sources_of(official.meet), Wanted()).certificates[0]
    assert label_of(first)[:4] == (
        "Łucja O’Neil", "Thornwick School", official.events[0].name, "Equal first place · 5.43 +1.4"
    )  # fmt: skip


def test_an_envelope_for_each_school(official):
    assert [label[0] for label in envelopes(sources_of(official.meet), Wanted())] == sorted(
        school.name for school in official.schools
    )


@pytest.fixture
def classes(db):
    """One event with a class of its own: two athletes are first, each in their class."""
    day = PublishedDay(events=1)
    against = {"klass": "T20", "place": 1, "best": best(512, -4), "series": [trial(1, 512, -4)]}
    day.result(day.events[0], status="official", protests_until=None, changes={1: against, 2: {"place": 2}})
    return day


def test_a_certificate_names_the_class_of_which_somebody_is_first(classes):
    name = classes.events[0].name
    found = awards_of(sources_of(classes.meet), Wanted()).certificates
    assert [(one.honours[0], one.event) for one in found] == [
        ("First place", name), ("First place", f"{name}, class T20"), ("Second place", name),
    ]  # fmt: skip
    assert label_of(found[1])[2:4] == (f"{name}, class T20", "First place · 5.12 −0.4")
