import pytest

from meets.running import actions
from meets.running.reads import state_of
from tests.factories import EntryFactory, EventFactory
from tests.meets.running.pit_work import DESK_BY


@pytest.fixture
def event(db):
    """A long jump of ten without seeds and boards, drawn."""
    event = EventFactory(discipline="LJ")
    for bib in range(1, 11):
        EntryFactory(event=event, bib=str(bib), seed_mark=None, board_cm=None)
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    return event


@pytest.fixture
def up(event):
    """The turn of whoever jumps first."""
    return state_of(event).callable[0].turn
