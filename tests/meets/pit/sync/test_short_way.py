"""Short answers to phones go past what only pages need, and keep what guards every answer."""

import io
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.core.signals import request_finished, request_started
from django.db import close_old_connections

from meets.pit.keys.tokens import token_of


def answered(path: str, body: str = "", **more: str) -> tuple[str, dict[str, str], bytes]:
    from meets.wsgi import application

    sent = body.encode()
    environ = {
        "REQUEST_METHOD": "POST" if body else "GET", "SCRIPT_NAME": "", "PATH_INFO": path, "QUERY_STRING": "",
        "SERVER_NAME": "localhost", "SERVER_PORT": "80", "SERVER_PROTOCOL": "HTTP/1.1", "HTTP_HOST": "localhost",
        "CONTENT_TYPE": "application/json", "CONTENT_LENGTH": str(len(sent)), "wsgi.input": io.BytesIO(sent),
        "wsgi.url_scheme": "http", **more,
    }  # fmt: skip
    said = []
    with connections_kept():
        answer = application(environ, lambda status, headers: said.append((status, dict(headers))))
        given = b"".join(answer)
        answer.close()
    return (*said[0], given)


@contextmanager
def connections_kept() -> Iterator[None]:
    """The connection of a test holds its transaction, and stays open whenever a request begins or ends."""
    ends = (request_started, request_finished)
    for end in ends:
        end.disconnect(close_old_connections)
    try:
        yield
    finally:
        for end in ends:
            end.connect(close_old_connections)


def test_a_push_is_answered_the_short_way(event, phone):
    phone.jump(event, "1", 1)
    status, headers, given = answered(
        "/sync/v1/push", phone.text(), HTTP_AUTHORIZATION=f"Bearer {token_of(phone.device)}"
    )
    assert (status, b'"stored"' in given) == ("200 OK", True)
    guards = {"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "same-origin"}
    assert {name: headers.get(name) for name in guards} == guards
    assert headers["Content-Length"] == str(len(given))


@pytest.mark.parametrize("path", ["/sync/v1/push", "/desk/"])
def test_an_address_that_is_not_ours_is_refused_on_either_way(db, path):
    assert answered(path, "{}", HTTP_HOST="elsewhere.example")[0] == "400 Bad Request"


def test_pages_go_the_long_way(db):
    assert "Set-Cookie" in answered("/desk/sign-in/")[1]
