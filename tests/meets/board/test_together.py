"""Two age groups in one list at a pit: who is up is said by the list, and each event has places of its own."""

import pytest

from meets.board.reads import event_board, meet_board
from meets.board.versions import look as version_now
from meets.running import actions
from tests.factories import EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.desk.conftest import Played


@pytest.fixture
def session(meet):
    return PitSessionFactory(pit__meet=meet)


@pytest.fixture
def younger(meet, session):
    return in_session(meet, session, "U14", "12")


@pytest.fixture
def older(meet, session):
    return in_session(meet, session, "U16", "34")


def in_session(meet, session, group, bibs, block=1):
    """An event with its girls, drawn in the order of bibs or not, whichever the lot gives."""
    name = f"{group} girls long jump"
    event = EventFactory(
        meet=meet, name=name, age_group=group, category="girls", discipline="LJ", rule_changes={"cuts": "3:2"}
    )
    SessionPartFactory(event=event, session=session, block=block)
    for bib in bibs:
        EntryFactory(event=event, bib=bib)
    return Played(event)


def called(played):
    return [(turn.word, turn.person.bib) for turn in event_board(played.event).called]


def bibs_of(played):
    """In the order of the draw."""
    return [played.state.entry(key).line.bib for key in played.state.flights[0]]


def test_the_turns_of_the_other_group_come_before(younger, older):
    younger.draw()
    older.draw()
    (a, b), (c, d) = bibs_of(younger), bibs_of(older)
    assert called(younger) == [("Up now", a), ("Next", b), ("Then", a)]
    assert called(older) == [("After U14 girls long jump", c), ("Then", d), ("Then", c)]
    younger.jump("5.01+1.0", "5.02+1.0")
    assert called(younger) == [("After U16 girls long jump", a), ("Then", b), ("Then", a)]
    assert called(older) == [("Up now", c), ("Next", d), ("Then", c)]
    older.jump("5.03+1.0")
    assert (called(younger)[0], called(older)[0]) == (("Next", a), ("Up now", d))
    older.jump("5.04+1.0")
    assert called(younger)[0] == ("Up now", a)
    younger.jump("5.01+1.0", "5.02+1.0")
    assert [line.is_up for line in event_board(younger.event).lines] == [False, False]
    assert [line.person.bib for line in event_board(older.event).lines if line.is_up] == [c]


def test_one_athlete_is_up_on_the_page_of_the_meet(younger, older, meet):
    younger.draw().jump("5.01+1.0", "5.02+1.0")
    older.draw().jump("5.03+1.0")
    _c, d = bibs_of(older)
    assert [line.up and line.up.bib for line in meet_board(meet).events] == [None, d]


def test_places_are_those_of_each_group(younger, older):
    younger.draw().jump("4.01+1.0", "4.02+1.0")
    older.draw().jump("5.01+1.0", "5.02+1.0")
    for played in (younger, older):
        assert [line.place for line in event_board(played.event).lines] == ["1", "2"]


@pytest.fixture
def later(meet, session):
    return in_session(meet, session, "U18", "56", block=2)


def test_nobody_is_up_while_the_event_before_is_going_on(younger, older, later):
    younger.draw()
    later.draw()
    e, f = bibs_of(later)
    assert called(later) == [("After U14 girls long jump", e), ("Then", f), ("Then", e)]
    older.draw()
    assert called(later)[0] == ("After U14 girls long jump, U16 girls long jump", e)
    actions.close(**younger.who, reason="heavy rain")
    actions.close(**older.who, reason="heavy rain")
    assert called(later)[:2] == [("Up now", e), ("Next", f)]


def test_an_event_that_has_begun_waits_for_none_before_it(younger, later):
    younger.draw()
    later.draw().jump("5.01+1.0")
    e, f = bibs_of(later)
    assert called(later)[:2] == [("Up now", f), ("Next", e)]


def test_a_page_changes_with_the_events_that_are_called_before_and_with_no_other(younger, older, later):
    def changed(do):
        before = version_now("day").events
        do()
        now = version_now("day").events
        return [before[one.event.pk] != now[one.event.pk] for one in (younger, older, later)]

    assert changed(younger.draw) == [True, True, True]
    assert changed(later.draw) == [False, False, True]
    assert changed(lambda: younger.jump("5.01+1.0")) == [True, True, True]
