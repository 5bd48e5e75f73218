"""Somebody who is on no list: an athlete, a pending entry, and a name from the pit that the server translates."""

from itertools import permutations
from uuid import uuid4

import pytest

from athletes.models import Athlete, School
from meets.models import Delivery, Entry
from meets.pit.sync.review import take_in
from meets.running import actions
from meets.running.reads import people_of, state_of
from meets.running.words import year_words
from tests.factories import AthleteFactory, EntryFactory, SchoolFactory
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.sync.phone import NOW, key_of, statuses

ZOE = {"name": "Zoë Amblecote", "school": "Thornwick School", "bib": "77", "year": "9"}


def add(phone, event, named=ZOE, **values):
    new = f"new-{uuid4()}"
    phone.write(event, "added", {"entry": new, "flight": 1, **values}, named=named)
    return new


def jump(phone, event, new, round=1, mark=500):
    return phone.write(event, "jumped", {"entry": new, "round": round, "result": "mark", "mark": mark})


def test_an_athlete_is_made_and_jumps(event, phone):
    thornwick = School.objects.get(name="Thornwick School")
    new = add(phone, event)
    jump(phone, event, new)
    assert statuses(phone.send_all()) == ["stored", "stored"]
    entry = Entry.objects.get(named_at_pit=new.removeprefix("new-"))
    assert (entry.event, entry.status, entry.bib) == (event, Entry.Status.PENDING, "77")
    athlete = entry.athlete
    assert (athlete.first_name, athlete.last_name, athlete.school) == ("Zoë", "Amblecote", thornwick)
    assert (athlete.sex, athlete.school_year, athlete.born) == ("F", "9", None)
    state = state_of(event).entry(str(entry.pk))
    assert (state.pending, state.guest, state.best, state.flight) == (True, True, 500, 1)
    assert [row.values["entry"] for row in event.log.filter(kind__in=["added", "jumped"])] == [str(entry.pk)] * 2


def test_the_name_is_known_ever_after(event, phone, second):
    new = add(phone, event)
    phone.send_all()
    actions.confirm_added(entry=Entry.objects.get(bib="77", event=event), **DESK_BY)
    jump(second, event, new)
    assert statuses(second.send_all()) == ["stored"]


def test_a_school_nobody_knows_is_marked(event, phone):
    add(phone, event, {**ZOE, "school": "Hollin Bank"})
    add(phone, event, {"name": "Orla Brindlow"})
    add(phone, event, {"name": "Nell Brindlow", "school": ""})
    assert statuses(phone.send_all()) == ["stored"] * 3
    made = School.objects.filter(code__startswith="NEW").order_by("pk").values_list("code", "name")
    assert list(made) == [("NEW1", "Hollin Bank"), ("NEW2", "School not stated")]


def test_a_school_is_found_by_its_code_and_an_athlete_by_the_name(event, phone):
    school = SchoolFactory(code="THO")
    known = AthleteFactory(school=school, first_name="Zoé", last_name="AMBLECOTE")
    many = Athlete.objects.count()
    add(phone, event, {"name": "zoe amblecote", "school": "tho"})
    phone.send_all()
    assert (Entry.objects.get(named_at_pit__isnull=False).athlete, Athlete.objects.count()) == (known, many)


def test_a_bib_that_somebody_wears_is_left_to_the_desk(event, phone):
    add(phone, event, {**ZOE, "bib": "2"})
    phone.send_all()
    assert Entry.objects.get(named_at_pit__isnull=False).bib == ""


@pytest.mark.parametrize("order", list(permutations(range(4))), ids=str)
def test_what_came_before_its_athlete_is_taken_in_by_itself(event, phone, order):
    new = add(phone, event)
    jump(phone, event, new, 1, 500)
    jump(phone, event, new, 2, 510)
    phone.jump(event, "1", 1)
    for place in order:
        phone.send(phone.said[place])
    assert set(Delivery.objects.values_list("status", "problem")) == {("stored", "")}
    assert statuses(phone.send_all()) == ["duplicate"] * 4
    key = str(Entry.objects.get(named_at_pit__isnull=False).pk)
    assert [trial.mark for trial in state_of(event).entry(key).series.trials] == [500, 510]
    assert event.log.count() == 5


def test_before_that_it_waits_with_a_sentence(event, phone):
    add(phone, event)
    said = jump(phone, event, phone.said[0]["values"]["entry"])
    done = phone.send(said)
    assert statuses(done) == ["needs_review"]
    assert done.results[0].says == "It names an athlete who was added at the pit, and that has not come yet."


def test_two_phones_name_the_same_athlete(event, phone, second):
    first, other = add(phone, event), add(second, event)
    jump(phone, event, first)
    jump(second, event, other)
    for one in (second, phone):
        assert statuses(one.send_all()) == ["stored", "stored"]
    (entry,) = Entry.objects.filter(named_at_pit__isnull=False)
    (turn,) = state_of(event).entry(str(entry.pk)).turns
    assert (turn.confirmed, turn.disputed, len(turn.rows)) == (True, False, 2)


def test_who_is_on_the_list_is_not_added_but_may_be_meant(event, phone):
    listed = EntryFactory(event=event, bib="31", athlete__first_name="Zoë", athlete__last_name="Amblecote")
    new = add(phone, event, {"name": "Zoë Amblecote", "school": listed.athlete.school.name})
    jump(phone, event, new)
    done = phone.send_all()
    assert statuses(done) == ["needs_review", "needs_review"]
    assert done.results[0].says == f"Zoë Amblecote is on the list of {event.name} already, with bib 31."
    take_in(delivery=Delivery.objects.get(seq=1), by="O. Rganiser", reason="bib 31 is meant", now=NOW)
    assert list(Delivery.objects.order_by("seq").values_list("status", flat=True)) == ["stored", "stored"]
    state = state_of(event).entry(str(listed.pk))
    assert (state.best, state.pending, state.guest, state.checked_in) == (500, False, False, True)


@pytest.mark.parametrize(
    ("named", "values"),
    [
        (None, {}),
        ({}, {}),
        ({"name": " "}, {}),
        ({"name": ["Zoë"]}, {}),
        ({"name": "Zo\0e"}, {}),
        (ZOE, {"flight": "first"}),
        (ZOE, {"entry": "new-Zoë"}),
        (ZOE, {"entry": "31"}),
        (ZOE, {"speed": 3}),
    ],
)
def test_what_names_nobody_makes_nobody(event, phone, named, values):
    many = (Athlete.objects.count(), School.objects.count(), Entry.objects.count())
    add(phone, event, named, **values)
    assert statuses(phone.send_all()) == ["needs_review"]
    assert (Athlete.objects.count(), School.objects.count(), Entry.objects.count()) == many


def test_texts_that_look_like_a_name_elsewhere_are_texts(event, phone):
    phone.write(event, "left", {"entry": key_of(event, "1"), "where": "new-gym"})
    assert statuses(phone.send_all()) == ["stored"]


@pytest.mark.parametrize(("year", "shown"), [("", "year not known"), ("2012", "born 2012"), ("9", "year 9")])
def test_a_year_is_what_was_said_and_none_is_made_up(event, phone, year, shown):
    add(phone, event, {**ZOE, "year": year})
    phone.send_all()
    entry = Entry.objects.get(named_at_pit__isnull=False)
    assert entry.athlete.born is None
    assert year_words(people_of(event)[str(entry.pk)].year_group) == shown
