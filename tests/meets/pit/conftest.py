from datetime import UTC, datetime

import pytest
from django.urls import reverse

from meets.running import actions
from meets.running.actions import DESK, PIT
from meets.running.reads import state_of
from tests.factories import EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
from tests.played import once

NOW = datetime(2027, 6, 12, 10, 0, tzinfo=UTC)
DESK_BY = {"by": "Organiser", "recorder": DESK, "now": NOW}
PIT_BY = {"by": "R. Corder", "recorder": PIT, "now": NOW}
WRITER = "Ms Amblewright"


class AtPit:
    """A browser of the crew of one session, and short ways to what it does."""

    def __init__(self, client, session, event):
        self.client, self.session, self.event = client, session, event

    def page(self, name, *parts, **query):
        return self.client.get(reverse(f"pit:{name}", args=[self.session.pk, *parts]), query)

    def send(self, name, *parts, **answers):
        return self.client.post(reverse(f"pit:{name}", args=[self.session.pk, *parts]), answers)

    @property
    def state(self):
        return state_of(self.event)

    @property
    def up(self):
        return self.state.callable[0].turn

    def turn_name(self, turn=None):
        return "-".join(map(str, turn or self.up))

    def record(self, turn=None, **answers):
        return self.send("record", turn=self.turn_name(turn), **answers)

    def key(self, bib):
        return str(self.event.entries.get(bib=bib).pk)


@pytest.fixture
def event(db):
    event = EventFactory(discipline="LJ", boards_cm=[100])
    for bib in range(1, 10):
        EntryFactory(event=event, bib=str(bib), seed_mark=None, board_cm=None)
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    return event


@pytest.fixture
def session(event):
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    return session


@pytest.fixture
def unready(desk_client, session, event):
    desk_client.post(reverse("pit:writer"), {"name": WRITER})
    return AtPit(desk_client, session, event)


@pytest.fixture
def pit(unready, event):
    actions.sign_readiness(event_id=event.pk, **PIT_BY)
    return unready


def play(event, *, until_round=99):
    """Record whoever is up until a round is over or a decision is due; every mark another one."""
    once(event, lambda: _play(event, until_round), until_round)


def _play(event, until_round):
    n = 0
    while state_of(event).callable and state_of(event).callable[0].turn.round <= until_round:
        turn = state_of(event).callable[0].turn
        n += 7
        mark = f"{4.20 + n % 37 / 100:.2f}"
        actions.record_trial(event_id=event.pk, turn=turn, trial=mark, wind="+0.4", answered=True, **PIT_BY)
