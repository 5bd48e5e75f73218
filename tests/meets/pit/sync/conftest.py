import pytest

from meets.running import actions
from tests.factories import EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.sync.phone import Phone


@pytest.fixture
def event(db):
    """A long jump of three, drawn, with boards and a pit session of its own."""
    event = EventFactory(discipline="LJ", boards_cm=[100])
    for bib in ("1", "2", "3"):
        EntryFactory(event=event, bib=bib, seed_mark=None, board_cm=None)
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    return event


@pytest.fixture
def session(event):
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    return session


@pytest.fixture
def phone(session):
    return Phone(session)


@pytest.fixture
def second(session):
    return Phone(session, "second")
