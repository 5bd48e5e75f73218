from datetime import UTC, datetime

import pytest

from meets.pit.keys.tokens import token_of
from meets.running import actions
from tests.factories import EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.sync.phone import Phone

NOW = datetime(2027, 6, 12, 10, 0, tzinfo=UTC)


class Pit:
    """A session with its phones, one for each role, and what they get."""

    def __init__(self, client, session, event) -> None:
        self.client, self.session, self.event = client, session, event
        self.phones: dict[str, Phone] = {}

    def phone(self, role: str) -> Phone:
        if role not in self.phones:
            self.phones[role] = Phone(self.session, role)
        return self.phones[role]

    def header(self, role: str) -> dict[str, str]:
        return {"Authorization": f"Bearer {token_of(self.phone(role).device)}"}

    def get(self, role: str = "recorder", *, asks_for: str = "", **headers):
        address = f"/sync/v1/state/{self.session.pk}?role={asks_for or role}"
        return self.client.get(address, headers=self.header(role) | headers)

    def state(self, role: str = "recorder") -> dict:
        answer = self.get(role)
        assert answer.status_code == 200, answer.content
        return answer.json()

    def key(self, bib: str) -> str:
        return str(self.event.entries.get(bib=bib).pk)

    def send(self, role: str, kind: str, values: dict, **more):
        phone = self.phone(role)
        phone.write(self.event, kind, values, **more)
        return phone.send()


@pytest.fixture
def event(db):
    """A long jump of three, drawn in the order of their bibs, with seeds."""
    event = EventFactory(discipline="LJ", boards_cm=[100])
    for bib in ("1", "2", "3"):
        EntryFactory(event=event, bib=bib, seed_mark=500, board_cm=None)
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    return event


@pytest.fixture
def session(event):
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    return session


@pytest.fixture
def pit(client, session, event):
    return Pit(client, session, event)
