"""A meet with an event at a pit, and phones that came in and sent something."""

import json
from datetime import timedelta

import pytest
from django.utils import timezone

from meets.pit.sync.contacts import Contact, contact
from meets.running import actions
from tests.factories import EntryFactory, EventFactory, MeetFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.sync.phone import Phone


@pytest.fixture
def meet(db):
    """Today, as keys end with their meet."""
    return MeetFactory(slug="spring-jumps", name="Spring jumps", date=timezone.localdate())


@pytest.fixture
def event(meet):
    """A long jump of three, drawn."""

    event = EventFactory(meet=meet, name="U15 girls long jump", discipline="LJ", boards_cm=[100])
    for bib in ("1", "2", "3"):
        EntryFactory(event=event, bib=bib, seed_mark=None, board_cm=None)
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    return event


@pytest.fixture
def session(event):
    session = PitSessionFactory(pit__meet=event.meet, pit__name="North pit", name="Morning")
    SessionPartFactory(event=event, session=session)
    return session


@pytest.fixture
def phone(session):
    return Phone(session)


def says(phone: Phone, *, unsent: int = 0, max_seq: int | None = None, ago: timedelta = timedelta(), off_s: int = 0):
    """The phone says that it is there, some time ago."""
    max_seq = len(phone.said) if max_seq is None else max_seq
    said = Contact(phone.device.pk, phone.epoch, max_seq, unsent, off_s, "1", "R. Corder")
    contact(said=said, caller=phone.caller, now=timezone.now() - ago)


def waits(phone: Phone, event, **more) -> dict:
    """An entry that somebody must look at: a round that the event does not have."""
    said = phone.jump(event, "2", 9, 512, **more)
    phone.send(said, now=timezone.now())
    return said


def clashes(phone: Phone, event, bib: str = "1") -> tuple[dict, dict]:
    """Two entries under one number: the second is set aside."""
    first = phone.jump(event, bib, 1, 543)
    phone.send(first, now=timezone.now())
    other = phone.jump(event, bib, 1, 534, seq=first["seq"])
    phone.said.pop()
    phone.send(other, now=timezone.now(), max_seq=first["seq"])
    return first, other


def file_of(phone: Phone) -> str:
    """The outbox as a phone saves it."""
    return json.dumps({"v": 1, "app": "1", "entries": phone.said})
