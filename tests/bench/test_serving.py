"""Ports for servers of tests: nobody else has one between the look at it and the server that listens there."""

import socket
import sys

import pytest

from tests.bench import serving
from tests.bench.serving import free_port

HERE = "127.0.0.1"


def listens(port: int) -> socket.socket:
    """As servers listen, also where somebody did until just now."""
    return socket.create_server((HERE, port))


def test_a_server_listens_where_nobody_did_and_again_when_it_is_started_anew():
    port = free_port()
    for each in (port, port + 1, port):
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection((HERE, each), 5)
        with listens(each):
            socket.create_connection((HERE, each), 5).close()


@pytest.mark.skipif(sys.platform != "linux", reason="only there a server may take what is held")
def test_nobody_is_given_the_port_of_somebody_else(monkeypatch):
    port = free_port()
    monkeypatch.setattr(serving, "PORTS", range(port, port + 2, 2))
    monkeypatch.setattr(serving.SystemRandom, "sample", lambda self, ports, many: list(ports))
    with pytest.raises(AssertionError, match="is free"):
        free_port()


def test_of_many_ports_only_the_last_are_held(monkeypatch):
    monkeypatch.setattr(serving, "_HELD_AT_MOST", 2)
    for _ in range(3):
        free_port()
    assert len(serving._HELD) <= 2
