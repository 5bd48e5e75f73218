"""Whatever a page shows is part of its version: a change of it is seen, and a change elsewhere is not."""

import pytest

from athletes.models import Athlete, School
from meets.board.versions import look
from meets.models import Entry, Event, Meet, Pit, Record, SessionPart
from tests.factories import (
    AthleteFactory,
    EntryFactory,
    EventFactory,
    PenaltyFactory,
    PublicationFactory,
    RecordBookFactory,
    RecordFactory,
)


@pytest.fixture
def record(three):
    book = RecordBookFactory(level="district")
    book.meets.add(three.event.meet)
    return RecordFactory(book=book, athlete=AthleteFactory(first_name="Old", last_name="Holder"))


CHANGES = {
    "a trial": lambda three: three.jump("5.01+1.0"),
    "who is entered": lambda three: EntryFactory(event=three.event, bib="9"),
    "a bib": lambda three: Entry.objects.filter(bib="1").update(bib="77"),
    "a guest": lambda three: Entry.objects.filter(bib="1").update(guest=True),
    "a board": lambda three: Entry.objects.filter(bib="1").update(board_cm=300),
    "a name": lambda three: Athlete.objects.filter(entries__bib="1").update(first_name="Tove"),
    "who is not named": lambda three: Athlete.objects.filter(entries__bib="1").update(not_public=True),
    "how a name is said": lambda three: Athlete.objects.filter(entries__bib="1").update(say_it="TOH-veh"),
    "a school year": lambda three: Athlete.objects.filter(entries__bib="1").update(school_year="10"),
    "a school": lambda three: School.objects.update(name="Another school"),
    "how names are shown": lambda three: Meet.objects.update(public_names="bib"),
    "the name of the meet": lambda three: Meet.objects.update(name="Another meet"),
    "the rules of the meet": lambda three: Meet.objects.update(rule_changes={"rounds": "4"}),
    "the name of the event": lambda three: Event.objects.update(name="Another event"),
    "the rules of the event": lambda three: Event.objects.update(rule_changes={"cuts": "3:1"}),
    "when it starts": lambda three: Event.objects.update(starts_at=None),
    "the length of the sand": lambda three: Pit.objects.update(sand_cm=400),
    "where it is held": lambda three: SessionPart.objects.all().delete(),
    "a penalty": lambda three: PenaltyFactory(meet=three.event.meet),
    "a record": lambda three: Record.objects.update(mark=599),
    "the name of who holds a record": lambda three: Athlete.objects.filter(last_name="Holder").update(first_name="New"),
    "what is published": lambda three: PublicationFactory(event=three.event, meet=three.event.meet),
}


@pytest.mark.parametrize("change", CHANGES)
def test_what_is_shown_is_part_of_the_version(three, record, change):
    three.draw()
    before = look("day")
    CHANGES[change](three)
    after = look("day")
    assert before.events[three.event.pk] != after.events[three.event.pk]
    assert before.whole != after.whole


def test_a_trial_of_another_event_changes_the_meet_and_not_this_event(three):
    other = EventFactory(meet=three.event.meet)
    three.draw()
    before = look("day")
    three.jump("5.01+1.0")
    after = look("day")
    assert (before.events[other.pk] == after.events[other.pk], before.whole == after.whole) == (True, False)


def test_without_a_change_the_version_stays(three, record):
    three.draw().jump("5.01+1.0")
    first, second = look("day"), look("day")
    assert (first.events, first.whole) == (second.events, second.whole)
