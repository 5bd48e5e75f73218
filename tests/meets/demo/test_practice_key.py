"""The code by which a phone tries the practice afternoon: a new one at each start."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.utils import timezone

from meets.demo.actions import PRACTICE, practice_key
from meets.pit.keys.actions import NoSuchKey, join
from tests.factories import MeetFactory, PitSessionFactory


@pytest.fixture
def session(db):
    return PitSessionFactory(pit__meet=MeetFactory(slug=PRACTICE, date=timezone.localdate()))


def come_in(secret):
    return join(secret=secret, official="R. Corder", app_version="1", now=timezone.now())


def test_a_phone_comes_in_as_recorder_and_referee(session):
    joined = come_in(practice_key(timezone.now()))
    assert (joined.sessions, joined.device.key.roles) == ((session,), ["recorder", "referee"])


def test_the_code_of_the_start_before_lets_nobody_in(session):
    before, now = practice_key(timezone.now()), practice_key(timezone.now())
    with pytest.raises(NoSuchKey):
        come_in(before)
    assert come_in(now).device.number == 1


def test_there_is_none_once_the_day_is_over(session):
    assert practice_key(timezone.now() + timedelta(days=3)) is None


@pytest.mark.django_db
def test_there_is_none_without_a_practice_afternoon():
    assert practice_key(timezone.now()) is None


def test_a_start_that_serves_nothing_makes_none(session):
    call_command("demo", "--no-serve", stdout=StringIO())
    assert not session.pit.meet.pit_keys.exists()
