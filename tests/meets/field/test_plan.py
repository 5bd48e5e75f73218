"""Where a meet would be served; nothing is started."""

import socket

import pytest

from meets.field.addresses import Address
from meets.field.plan import NotServed, _binds, plan_of
from tests.bench.serving import free_port

FOUND = [Address("192.168.4.7", "wlan0", outward=True), Address("10.0.0.2", "eth0")]
NAMES = ["laptop", "laptop.local"]


@pytest.mark.parametrize(
    ("host", "binds"),
    [
        ("192.168.4.7", ("192.168.4.7", "10.0.0.2", "127.0.0.1")),
        ("10.0.0.2", ("10.0.0.2", "192.168.4.7", "127.0.0.1")),
        ("laptop.local", ("192.168.4.7", "10.0.0.2", "127.0.0.1")),
        ("127.0.0.1", ("127.0.0.1",)),
        ("localhost", ("127.0.0.1",)),
    ],
)
def test_it_listens_on_local_addresses_alone(host, binds):
    assert _binds(host, FOUND, NAMES) == binds


@pytest.mark.parametrize(
    ("host", "says"),
    [
        ("192.168.4.8", "is not an address of this computer; expected one of: 192.168.4.7, 10.0.0.2, laptop"),
        ("203.0.113.9", "is no address of a local network"),
        ("meets.example.org", "is no address of a local network"),
        ("0.0.0.0 -x", "is not an address of this computer"),
    ],
)
def test_another_address_is_refused(host, says):
    with pytest.raises(NotServed, match=says):
        _binds(host, FOUND, NAMES)


def test_by_https_the_server_is_told_so_and_sends_no_hsts():
    port = free_port()
    plan = plan_of(plain=False, port=port, address="127.0.0.1")
    assert (plan.meet, plan.trust) == (f"https://127.0.0.1:{port}", f"http://127.0.0.1:{port + 1}/")
    told = plan.environment()
    assert (told["NEAREST_BREAK_HTTPS"], told["NEAREST_BREAK_FIELD"]) == ("yes", "yes")
    assert told["NEAREST_BREAK_ADDRESS"] == plan.meet
    assert {"127.0.0.1", "localhost"} <= set(told["NEAREST_BREAK_HOSTS"].split(","))
    assert "--certfile" in plan.command("c", "k")


def test_plain_has_no_certificate():
    plan = plan_of(plain=True, port=free_port(), address="127.0.0.1")
    assert plan.meet.startswith("http://")
    assert plan.environment()["NEAREST_BREAK_HTTPS"] == "no"
    assert "--certfile" not in plan.command(None, None)


def test_a_port_that_is_taken_is_named():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(NotServed, match=f"Port {port} at 127.0.0.1 cannot be used"):
            plan_of(plain=True, port=port, address="127.0.0.1")


@pytest.mark.parametrize("port", [-1, 65535, 70000])
def test_a_port_that_cannot_be_is_refused(port):
    with pytest.raises(NotServed, match="expected a number"):
        plan_of(plain=True, port=port, address="127.0.0.1")
