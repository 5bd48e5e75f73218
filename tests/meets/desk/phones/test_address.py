"""The address in a code must be one that phones can reach."""

import pytest
from django.test import RequestFactory

from meets.desk.phones.address import base_of


@pytest.mark.parametrize(
    ("host", "only_here"),
    [
        ("localhost", True),
        ("desk.localhost", True),
        ("127.0.0.1:8000", True),
        ("127.9.9.9", True),
        ("[::1]:8000", True),
        ("0.0.0.0:8000", True),
        ("192.168.1.20:8000", False),
        ("[2001:db8::7]", False),
        ("laptop.local", False),
        ("meets.example.org", False),
    ],
)
def test_which_addresses_no_phone_reaches(settings, host, only_here):
    settings.ALLOWED_HOSTS = ["*"]
    base = base_of(RequestFactory().get("/", HTTP_HOST=host))
    assert (base.address, base.only_here, base.safe) == (f"http://{host}", only_here, False)


def test_what_the_server_was_told_comes_first(settings):
    settings.NEAREST_BREAK_ADDRESS = "https://192.0.2.7:8443/"
    base = base_of(RequestFactory().get("/", HTTP_HOST="localhost"))
    assert (base.address, base.only_here, base.safe) == ("https://192.0.2.7:8443", False, True)
    assert base.with_key("abc") == "https://192.0.2.7:8443/pit/phone/#k=abc"
