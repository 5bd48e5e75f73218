"""Somebody else keeps the database from being written: answers come late or not at all, and nothing is lost."""

import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager

import pytest

from tests.faults.conftest import Field
from tests.faults.phone import Phone

pytestmark = pytest.mark.slow


@contextmanager
def nobody_may_write(field: Field) -> Iterator[None]:
    url = field.server.environment["DATABASE_URL"]
    if url.startswith("sqlite"):
        with closing(sqlite3.connect(url.removeprefix("sqlite:///"), isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            yield
            other.execute("ROLLBACK")
        return
    import psycopg

    with psycopg.connect(url) as other:
        other.execute("LOCK TABLE meets_stream, meets_delivery IN ACCESS EXCLUSIVE MODE")
        yield
        other.rollback()


def pushed_meanwhile(field: Field, phone: Phone, held_s: float) -> bool:
    """Whether a push was answered that began while somebody held the database."""
    answered = []
    sending = threading.Thread(target=lambda: answered.append(phone.push()))
    with nobody_may_write(field):
        sending.start()
        time.sleep(held_s)
        assert phone.ledger.acked == phone.there == set()
    sending.join(60)
    return answered == [True]


def test_a_short_time_makes_the_answer_late(field):
    field.server.start()
    phone = Phone(field.server.port, field.meet, field.ledger, timeout_s=30)
    phone.write()
    assert pushed_meanwhile(field, phone, 1.0)
    assert field.verdict().wrong == {}


def test_a_long_time_makes_the_phone_send_again(field):
    field.server.start()
    phone = Phone(field.server.port, field.meet, field.ledger, timeout_s=3)
    phone.write()
    assert not pushed_meanwhile(field, phone, 12.0)
    assert phone.drain(60)
    assert field.verdict().wrong == {}
