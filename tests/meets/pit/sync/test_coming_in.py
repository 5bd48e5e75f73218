"""A phone shows its key at the door."""

import json
import logging

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext

from meets.models import Device, ServerEpoch
from meets.pit.keys.access import COOKIE, device_of
from meets.pit.keys.actions import revoke_key
from meets.pit.sync.coming_in import WRONG_KEYS_A_MINUTE
from meets.pit.sync.views import in_ms
from tests.factories import MEET_DAY, START, MeetFactory, SessionPartFactory
from tests.meets.pit.keys.codes import a_key

pytestmark = pytest.mark.django_db
FOREVER = MEET_DAY.replace(year=MEET_DAY.year + 70)


@pytest.fixture(autouse=True)
def _nobody_has_tried():
    cache.clear()


@pytest.fixture
def key():
    """Of a meet that is not over on any day these tests may run."""
    return a_key(session__pit__meet=MeetFactory(date=FOREVER), roles=["recorder", "gauge"])


def ask(client, body, **more):
    text = body if isinstance(body, str) else json.dumps(body)
    return client.post("/sync/v1/join", text, content_type="application/json", **more)


def test_a_phone_comes_in(client, key):
    answer = ask(client, {"key": key.secret, "official": "  R.  Corder ", "app_version": "7"})
    device = Device.objects.get()
    said = answer.json()
    assert answer.status_code == 201
    assert abs(said.pop("now") - in_ms(device.came_in_at)) < 60_000
    token = said.pop("token")
    assert said == {
        "device": str(device.pk),
        "number": 1,
        "official": "R. Corder",
        "meet": {"id": key.meet.pk, "name": key.meet.name, "time_zone": "Europe/London"},
        "roles": ["recorder", "gauge"],
        "sessions": [{"id": key.session.pk, "name": key.session.name, "pit": key.session.pit.name}],
        "server_epoch": str(ServerEpoch.objects.get().epoch),
    }
    assert (device.app_version, answer["Cache-Control"]) == ("7", "no-store")
    shown = RequestFactory().post("/", headers={"Authorization": f"Bearer {token}"})
    assert device_of(shown).device == device


def test_its_browser_is_known_to_the_pages_of_the_pit(client, key):
    answer = ask(client, {"key": key.secret, "official": "R. Corder"})
    cookie = answer.cookies[COOKIE]
    assert cookie.value == answer.json()["token"]
    assert (cookie["httponly"], cookie["samesite"], cookie["path"], cookie["secure"]) == (True, "Strict", "/pit/", "")
    safe = ask(client, {"key": key.secret, "official": "R. Corder"}, secure=True)
    assert safe.cookies[COOKIE]["secure"] is True


@pytest.mark.parametrize(
    ("body", "status", "field"),
    [
        ("", 400, None),
        ("[]", 400, None),
        ("{", 400, None),
        ({"official": "R. Corder"}, 422, "key"),
        ({"key": "", "official": "R. Corder"}, 422, "key"),
        ({"key": 7, "official": "R. Corder"}, 422, "key"),
        ({"key": "k" * 201, "official": "R. Corder"}, 422, "key"),
        ({"key": "k"}, 422, "official"),
        ({"key": "k", "official": " \t"}, 422, "official"),
        ({"key": "k", "official": "\0"}, 422, "official"),
        ({"key": "k", "official": "x" * 81}, 422, "official"),
        ({"key": "k", "official": "R. Corder", "app_version": {}}, 422, "app_version"),
        ({"key": "k", "official": "R. Corder"}, 404, None),
    ],
)
def test_what_lets_nobody_in(client, key, body, status, field):
    answer = ask(client, body)
    said = answer.json()
    assert (answer.status_code, answer["Content-Type"]) == (status, "application/problem+json")
    assert (said["status"], said.get("field")) == (status, field)
    assert not Device.objects.exists()


def test_a_key_taken_back_is_gone(client, key):
    revoke_key(key=key, now=START)
    assert ask(client, {"key": key.secret, "official": "R. Corder"}).status_code == 410


def test_a_meet_that_is_over_is_gone(client):
    key = a_key(session__pit__meet=MeetFactory(date=MEET_DAY.replace(year=2001)))
    assert ask(client, {"key": key.secret, "official": "R. Corder"}).status_code == 410


def test_whoever_tries_many_keys_has_to_wait(client, key):
    for _ in range(WRONG_KEYS_A_MINUTE):
        assert ask(client, {"key": "guessed", "official": "R. Corder"}).status_code == 404
    for secret in ("guessed", key.secret):
        answer = ask(client, {"key": secret, "official": "R. Corder"})
        assert (answer.status_code, answer["Retry-After"]) == (429, "60")
    elsewhere = ask(client, {"key": key.secret, "official": "R. Corder"}, REMOTE_ADDR="192.0.2.7")
    assert elsewhere.status_code == 201


def test_neither_keys_nor_names_are_logged(client, key, caplog):
    with caplog.at_level(logging.DEBUG):
        ask(client, {"key": key.secret, "official": "R. Corder"})
        ask(client, {"key": "guessed key", "official": "R. Corder"})
        ask(client, {"key": "guessed key", "official": ""})
    assert [word for word in (key.secret, "guessed key", "Corder") if word in caplog.text] == []


def test_only_one_method_is_taken(client):
    answer = client.get("/sync/v1/join")
    assert (answer.status_code, answer["Allow"]) == (405, "POST")


def test_coming_in_reads_no_more_with_many_sessions(client, key):
    ask(client, {"key": key.secret, "official": "R. Corder"})
    counted = []
    for many in (1, 3):
        part = SessionPartFactory(event__meet__date=FOREVER)
        for flight in range(1, many):
            SessionPartFactory(event=part.event, flight=flight)
        wide = a_key(session=None, event=part.event)
        with CaptureQueriesContext(connection) as queries:
            said = ask(client, {"key": wide.secret, "official": "R. Corder"}).json()
        assert len(said["sessions"]) == many
        counted.append(len(queries))
    assert counted[0] == counted[1]
