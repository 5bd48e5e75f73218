"""Keys: who may come in, until when, and what is kept of them."""

from datetime import UTC, datetime, timedelta

import pytest

from meets.models import Device, PitKey
from meets.pit.keys.actions import (
    KeyEnded,
    NoSuchKey,
    Wanted,
    close_key,
    join,
    make_keys,
    revoke_device,
    revoke_key,
)
from meets.running.refusals import Refusal
from tests.factories import EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.keys.codes import a_key

pytestmark = pytest.mark.django_db
# The meet is on 12 June 2027, in British summer time.
NOW = datetime(2027, 6, 12, 9, 0, tzinfo=UTC)


def come_in(secret: str, official: str = "R. Corder", now: datetime = NOW):
    return join(secret=secret, official=official, app_version="1", now=now)


def made(where, *roles):
    meet = where.meet if hasattr(where, "meet") else where.pit.meet
    (one,) = make_keys(meet=meet, wanted=[Wanted(where, roles or ("recorder",))], by="O. Rganiser", now=NOW)
    return one


def test_a_key_lets_phones_in_and_numbers_them():
    session = PitSessionFactory()
    key = made(session, "gauge", "recorder")
    phones = [come_in(key.secret, name) for name in ("R. Corder", "S. Ubstitute")]
    assert [(one.device.number, one.device.official, one.sessions) for one in phones] == [
        (1, "R. Corder", (session,)),
        (2, "S. Ubstitute", (session,)),
    ]
    assert (key.key.roles, key.key.made_by, key.key.made_at) == (["recorder", "gauge"], "O. Rganiser", NOW)
    assert phones[0].token != phones[1].token


def test_of_a_key_only_its_hash_is_kept():
    key = made(PitSessionFactory())
    stored = PitKey.objects.filter(pk=key.key.pk).values().get()
    assert len(key.secret) >= 22
    assert [name for name, value in stored.items() if key.secret in str(value)] == []


def test_no_two_keys_are_alike():
    session = PitSessionFactory()
    wanted = [Wanted(session, ("recorder",))] * 2
    one, other = make_keys(meet=session.pit.meet, wanted=wanted, by="", now=NOW)
    assert one.secret != other.secret


def test_a_key_of_an_event_covers_the_sessions_that_hold_it():
    event, other = EventFactory(discipline="LJ"), EventFactory(discipline="TJ")
    sessions = [PitSessionFactory(pit__meet=event.meet) for _ in range(3)]
    SessionPartFactory(event=event, session=sessions[0], flight=1)
    SessionPartFactory(event=event, session=sessions[2], flight=2)
    SessionPartFactory(event=event, session=sessions[2], flight=3)
    SessionPartFactory(event=other, session=sessions[1])
    assert come_in(made(event).secret).sessions == (sessions[0], sessions[2])


@pytest.mark.parametrize(
    ("roles", "says"),
    [
        ((), "at least one role"),
        (("king",), "at least one role"),
        (("display", "recorder"), "no other role"),
        (("recorder", "second"), "without seeing the first"),
        (("second", "referee"), "without seeing the first"),
        (("second", "gauge"), "without seeing the first"),
    ],
)
def test_roles_that_cannot_be(roles, says):
    session = PitSessionFactory()
    good = Wanted(session, ("recorder",))
    with pytest.raises(Refusal, match=says):
        make_keys(meet=session.pit.meet, wanted=[good, Wanted(session, roles)], by="", now=NOW)
    assert not PitKey.objects.exists()


def test_nothing_of_another_meet_gets_a_key():
    session = PitSessionFactory()
    for stranger in (PitSessionFactory(), EventFactory()):
        with pytest.raises(Refusal, match="not in this meet"):
            make_keys(meet=session.pit.meet, wanted=[Wanted(stranger, ("recorder",))], by="", now=NOW)


@pytest.mark.parametrize("secret", ["", "wrong", "\ud800", "0" * 64])
def test_an_unknown_key_lets_nobody_in(secret):
    a_key()
    with pytest.raises(NoSuchKey, match="not known"):
        come_in(secret)
    assert not Device.objects.exists()


def test_the_hash_is_no_key():
    with pytest.raises(NoSuchKey):
        come_in(a_key().hash)


@pytest.mark.parametrize(
    ("now", "is_in"),
    [
        (datetime(2026, 6, 12, tzinfo=UTC), True),
        (datetime(2027, 6, 13, 22, 59, 59, tzinfo=UTC), True),
        (datetime(2027, 6, 13, 23, 0, tzinfo=UTC), False),
        (datetime(2027, 6, 27, tzinfo=UTC), False),
    ],
)
def test_phones_come_in_until_the_day_after_the_meet(now, is_in):
    key = a_key()
    if is_in:
        assert come_in(key.secret, now=now).device.came_in_at == now
        return
    with pytest.raises(KeyEnded, match="over"):
        come_in(key.secret, now=now)


def test_a_key_taken_back_locks_its_phones_out_and_lets_nobody_in():
    key, other = a_key(), a_key()
    phones = [come_in(key.secret).device, come_in(key.secret).device]
    stays = come_in(other.secret).device
    assert revoke_key(key=key, now=NOW) == 2
    assert set(Device.objects.filter(revoked_at=NOW)) == set(phones)
    with pytest.raises(KeyEnded, match="taken back"):
        come_in(key.secret)
    assert revoke_key(key=key, now=NOW + timedelta(hours=1)) == 0
    key.refresh_from_db()
    stays.refresh_from_db()
    assert (key.revoked_at, stays.revoked_at) == (NOW, None)


def test_a_key_that_is_closed_lets_nobody_in_and_its_phones_go_on():
    key = a_key()
    phone = come_in(key.secret).device
    close_key(key=key)
    with pytest.raises(NoSuchKey):
        come_in(key.secret)
    phone.refresh_from_db()
    assert (phone.revoked_at, phone.key.revoked_at) == (None, None)


def test_one_phone_is_locked_out_alone():
    key = a_key()
    one, other = come_in(key.secret).device, come_in(key.secret).device
    revoke_device(device=one, now=NOW)
    assert list(Device.objects.filter(revoked_at=None)) == [other]
    assert come_in(key.secret).device.number == 3
