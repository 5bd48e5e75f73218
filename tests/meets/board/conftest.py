"""A public meet with one event, played through the functions that officials use."""

import pytest

from meets.board import versions
from tests.factories import EntryFactory, EventFactory, MeetFactory, PitSessionFactory, SessionPartFactory
from tests.meets.desk.conftest import Played


@pytest.fixture
def meet(db):
    return MeetFactory(slug="day", name="Elmgarth autumn jumps", is_public=True)


@pytest.fixture
def event(meet):
    return EventFactory(
        meet=meet, discipline="LJ", boards_cm=[200], rule_changes={"cuts": "3:2"}, name="U15 girls long jump"
    )


@pytest.fixture
def three(event):
    """Bibs 1 to 3, each of a school of its own, in a session."""
    SessionPartFactory(event=event, session=PitSessionFactory(pit__meet=event.meet))
    for bib in "123":
        EntryFactory(event=event, bib=bib)
    return Played(event)


@pytest.fixture
def look(client):
    """The page at an address below /live/day/, as it is this moment."""

    def look(page="", **headers):
        versions.forget()
        return client.get(f"/live/day/{page}", headers=headers)

    return look


def pages_of(event):
    """Every public address of the live board that shows something of an event."""
    return ("", *(f"{event.pk}/{page}" for page in ("", "screen/", "announcer/")))
