"""A flight that goes on at another pit is written there, by the phones of that pit."""

import pytest

from meets.pit.keys.reads import sessions_of
from meets.pit.sync.reads import close_out, devices_of
from meets.running import actions
from meets.running.reads import state_of
from tests.factories import EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.sync.phone import Phone, statuses
from tests.meets.pit.sync.test_gaps import say

WHY = DESK_BY | {"reason": "the sand here is too hard"}


@pytest.fixture
def there(event):
    """A session with an event of its own, at a pit to which the second flight is moved."""
    event.rule_changes = {"flight_size": "2"}
    event.save()
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    there = PitSessionFactory(pit__meet=event.meet, pit__name="Far pit")
    SessionPartFactory(event=EventFactory(meet=event.meet, discipline="TJ"), session=there)
    return there


def move(event, pit="Far pit"):
    actions.move_flight(event_id=event.pk, flight=2, pit=pit, **WHY)


def moved_bib(event):
    return state_of(event).entry(state_of(event).flights[1][0]).line.bib


def test_its_trials_count_like_those_of_the_first_pit(event, phone, there):
    far = Phone(there)
    far.jump(event, moved_bib(event), 1)
    assert statuses(far.send_all()) == ["needs_review"]
    move(event)
    far.jump(event, moved_bib(event), 2)
    assert statuses(far.send(far.said[1])) == ["stored"]
    phone.jump(event, moved_bib(event), 3)
    assert statuses(phone.send_all()) == ["stored"]


def test_what_was_written_there_counts_also_once_it_is_back(event, session, there):
    move(event)
    far = Phone(there)
    far.jump(event, moved_bib(event), 1)
    move(event, session.pit.name)
    assert statuses(far.send_all()) == ["stored"]


def test_what_phones_there_hold_stands_in_the_way_of_an_official_result(event, there):
    far = Phone(there)
    far.jump(event, moved_bib(event), 1)
    say(far)
    assert close_out(event).ok
    move(event)
    assert set(devices_of(event)) == {far.device}
    assert close_out(event).says == (f"Phone {far.device.number} ({far.device.official}): entry 1 has not come.",)


def test_a_code_of_the_event_opens_that_pit_too(event, session, there):
    key = Phone(session, event=event).device.key
    assert sessions_of(key) == [session]
    move(event)
    assert {*sessions_of(key)} == {session, there}
