"""Every answer of the addresses for phones is as their description says, whatever they are sent."""

from hashlib import sha256

import hypothesis
import pytest
import schemathesis
from django.conf import settings
from django.core.handlers.wsgi import WSGIHandler
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from django.urls import get_resolver
from django.utils import timezone
from hypothesis import HealthCheck
from schemathesis.checks import (
    content_type_conformance,
    not_a_server_error,
    response_schema_conformance,
    status_code_conformance,
)

from meets.pit.keys.tokens import token_of
from meets.pit.sync.openapi import PATHS, description
from tests.meets.pit.sync.phone import Phone

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
EXAMPLES = 25
POSITIVE, NEGATIVE = schemathesis.GenerationMode.POSITIVE, schemathesis.GenerationMode.NEGATIVE


@pytest.fixture
def today(event):
    """A key lets phones in around the day of its meet."""
    event.meet.date = timezone.localdate()
    event.meet.save()
    return event


@pytest.fixture
def _connection_stays():
    """Here a request ends inside the transaction of the test, whose connection must outlive it."""
    ends = (request_started, request_finished)
    for signal in ends:
        signal.disconnect(close_old_connections)
    yield
    for signal in ends:
        signal.connect(close_old_connections)


def test_the_description_names_every_address():
    under = [pattern for pattern in get_resolver().url_patterns if str(pattern.pattern) == "sync/v1/"]
    wired = [str(pattern.pattern) for one in under for pattern in one.url_patterns]
    assert {f"/{path}".replace("<int:session_id>", "{session}") for path in wired} == set(PATHS)


@pytest.mark.slow
@pytest.mark.usefixtures("_connection_stays")
@pytest.mark.parametrize("path", list(PATHS))
@pytest.mark.parametrize("token", [True, False], ids=["with a token", "without"])
def test_every_answer_is_as_described(today, session, path, token):
    phone = Phone(session, "recorder")
    phone.device.key.hash = sha256(b"a secret that somebody scanned").hexdigest()
    phone.device.key.save()
    schema = schemathesis.openapi.from_dict(description())
    schema.app = WSGIHandler()
    headers = {"Authorization": f"Bearer {token_of(phone.device)}"} if token else {}
    headers |= {"Host": settings.ALLOWED_HOSTS[0], "Accept-Encoding": "identity"}
    (operation,) = (found.ok() for found in schema.include(path=path).get_all_operations())
    takes_something = bool(operation.body) or bool(operation.path_parameters)
    # Of what takes nothing there is no wrong way to ask.
    for mode in (POSITIVE, NEGATIVE) if takes_something else (POSITIVE,):
        cases = operation.as_strategy(generation_mode=mode)

        @hypothesis.settings(max_examples=EXAMPLES, derandomize=True, suppress_health_check=list(HealthCheck))
        @hypothesis.given(case=cases)
        def asked(case):
            # What is no number leads to no address at all.
            hypothesis.assume(str(case.path_parameters.get("session", 1)).isdecimal())
            case.call_and_validate(headers=headers, checks=CHECKS)

        asked()
