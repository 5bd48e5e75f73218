"""Which phone is let in by its token: whole, forged, of an older database, locked out, late."""

from datetime import UTC, datetime

import pytest
from django.core import signing
from django.test import RequestFactory

from meets.models import Device, PitKey
from meets.pit.keys.access import COOKIE, NotLetIn, device_by_cookie, device_of
from meets.pit.keys.actions import join, revoke_device, revoke_key
from meets.pit.keys.reads import covers, sessions_of
from meets.pit.keys.tokens import SALT, token_of
from tests.factories import (
    DeviceFactory,
    EventFactory,
    MeetFactory,
    PitSessionFactory,
    SessionPartFactory,
)
from tests.meets.pit.keys.codes import a_key

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 6, 12, 9, 0, tzinfo=UTC)


def shown(token: str, method: str = "post", header: str = "Bearer {}"):
    return getattr(RequestFactory(), method)("/sync/v1/contact", headers={"Authorization": header.format(token)})


def with_cookie(token: str, method: str = "get"):
    request = getattr(RequestFactory(), method)("/pit/")
    request.COOKIES[COOKIE] = token
    return request


def let_in(token: str, now: datetime = NOW):
    return device_of(shown(token), now)


def phone_of(key, official="R. Corder"):
    return join(secret=key.secret, official=official, app_version="1", now=NOW)


def test_a_phone_is_known_by_its_token():
    key = a_key(roles=["recorder", "gauge"])
    phone = phone_of(key)
    caller = let_in(phone.token)
    assert (caller.device, caller.key, caller.late) == (phone.device, key, False)
    assert caller.roles == {"recorder", "gauge"}


@pytest.mark.parametrize(("header", "is_in"), [("bearer {}", True), ("Bearer  {} ", True), ("Basic {}", False)])
def test_the_token_stands_in_the_header(header, is_in):
    request = shown(token_of(DeviceFactory()), header=header)
    if is_in:
        assert device_of(request, NOW).device.number == 1
    else:
        with pytest.raises(NotLetIn):
            device_of(request, NOW)


def test_a_cookie_is_enough_to_look_and_never_to_write_without_the_token_of_a_form():
    token = token_of(DeviceFactory())
    assert device_of(with_cookie(token), NOW).device.number == 1
    with pytest.raises(NotLetIn):
        device_of(with_cookie(token, "post"), NOW)
    assert device_by_cookie(with_cookie(token, "post"), NOW).device.number == 1


def forged(token: str) -> dict[str, str]:
    said, _stamp, _sign = token.rsplit(":", 2)
    return {
        "nothing": "",
        "nonsense": "no token",
        "too long": token + "x" * 3000,
        "the last letter is another": token[:-1] + ("A" if token[-1] != "A" else "B"),
        "no sign": said,
        "signed for something else": signing.dumps(signing.loads(token, salt=SALT), salt="password reset"),
        "another key": signing.dumps(signing.loads(token, salt=SALT), salt=SALT, key="somebody else's"),
        "letters no header has": "é" * 20,
    }


FORGED = (
    "nothing", "nonsense", "too long", "the last letter is another", "no sign", "signed for something else",
    "another key", "letters no header has",
)  # fmt: skip


@pytest.mark.parametrize("how", FORGED)
def test_a_forged_token_lets_nobody_in(how):
    tokens = forged(token_of(DeviceFactory()))
    assert tuple(tokens) == FORGED
    with pytest.raises(NotLetIn) as out:
        let_in(tokens[how])
    assert (out.value.status, out.value.revoked) == (401, False)


def test_a_token_of_a_meet_that_is_not_here_lets_nobody_in():
    key = a_key(session=None, event=EventFactory())
    token = phone_of(key).token
    key.meet.delete()
    with pytest.raises(NotLetIn, match="does not know this phone"):
        let_in(token)


@pytest.mark.parametrize("what", ["phone", "key"])
def test_who_is_locked_out_is_told(what):
    key = a_key()
    phone = phone_of(key)
    revoke_device(device=phone.device, now=NOW) if what == "phone" else revoke_key(key=key, now=NOW)
    with pytest.raises(NotLetIn, match="locked this phone out") as out:
        let_in(phone.token)
    assert (out.value.status, out.value.revoked) == (401, True)


@pytest.mark.parametrize(
    ("now", "late"),
    [
        (datetime(2027, 6, 26, 22, 59, 59, tzinfo=UTC), False),
        (datetime(2027, 6, 26, 23, 0, tzinfo=UTC), True),
        (datetime(2028, 1, 1, tzinfo=UTC), True),
    ],
)
def test_after_two_weeks_a_phone_still_delivers_but_late(now, late):
    assert let_in(token_of(DeviceFactory()), now).late is late


def older(what: str, key) -> None:
    """As in a backup that was made before the phone came in, or even before its key or its session."""
    Device.objects.all().delete()
    if what in ("key", "session"):
        PitKey.objects.all().delete()
    if what == "session":
        key.session.delete()


@pytest.mark.parametrize("what", ["phone", "key"])
def test_an_older_database_knows_a_phone_by_its_token(what):
    key = a_key(roles=["recorder", "gauge"])
    a_key(session__pit__meet=key.meet)
    phone_of(key)
    phone = phone_of(key)
    older(what, key)
    caller = let_in(phone.token)
    assert (caller.device.pk, caller.device.number, caller.device.came_in_at) == (phone.device.pk, 2, NOW)
    assert (caller.key.session, caller.key.event, caller.key.meet) == (key.session, None, key.meet)
    assert caller.roles == {"recorder", "gauge"}
    assert let_in(phone.token).device == caller.device
    assert Device.objects.count() == 1
    # the printed code is good again as well
    assert phone_of(key, "S. Ubstitute").device.number == 3


def test_phones_of_one_lost_key_share_it_again():
    event = EventFactory()
    key = a_key(session=None, event=event)
    phones = [phone_of(key), phone_of(key)]
    older("key", key)
    callers = [let_in(phone.token) for phone in phones]
    assert [caller.device.number for caller in callers] == [1, 2]
    assert callers[0].key == callers[1].key
    assert (callers[0].key.event, PitKey.objects.count()) == (event, 1)


def test_a_number_that_was_given_again_in_the_meantime_stays_with_the_other():
    key = a_key()
    phone = phone_of(key)
    older("phone", key)
    other = phone_of(key).device
    assert other.number == 1
    assert let_in(phone.token).device.number == 2


def test_a_key_that_has_the_same_row_in_an_older_database_is_not_taken_for_it():
    key = a_key()
    phone = phone_of(key)
    older("key", key)
    a_key(pk=key.pk, session=PitSessionFactory(pit__meet=key.meet), roles=["display"])
    caller = let_in(phone.token)
    assert (caller.key.session, caller.roles) == (key.session, {"recorder"})


def test_without_its_session_a_phone_is_known_and_may_write_nothing():
    """So what it sends is kept, and the desk looks at it."""
    key = a_key()
    PitSessionFactory(pit__meet=key.meet)
    phones = [phone_of(key), phone_of(key)]
    older("session", key)
    for phone in phones:
        assert let_in(phone.token).roles == set()
    assert PitKey.objects.count() == 1


def test_where_nothing_of_the_meet_is_left_a_phone_is_not_known():
    key = a_key()
    phone = phone_of(key)
    older("session", key)
    with pytest.raises(NotLetIn):
        let_in(phone.token)


@pytest.mark.parametrize("of", ["session", "event"])
def test_what_a_key_covers(of):
    meet = MeetFactory()
    event = EventFactory(meet=meet)
    inside, outside = (PitSessionFactory(pit__meet=meet) for _ in range(2))
    SessionPartFactory(event=event, session=inside)
    key = a_key(session=inside) if of == "session" else a_key(session=None, event=event)
    assert sessions_of(key) == [inside]
    assert (covers(key, inside.pk), covers(key, outside.pk)) == (True, False)
