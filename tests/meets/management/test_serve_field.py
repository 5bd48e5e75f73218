"""A meet served from this machine as a volunteer starts it, on 127.0.0.1, with the certificate that phones load."""

import http.client
import json
import os
import re
import signal
import ssl
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from tests.bench.serving import ROOT, free_port
from tests.faults.server import environment_for

pytestmark = [
    pytest.mark.slow,
    pytest.mark.once,
    pytest.mark.skipif(os.name == "nt", reason="on Windows the command says what to do instead"),
]


class Served:
    """The command, running; `said`: all that it has printed."""

    def __init__(self, folder: Path, *arguments: str) -> None:
        self.folder, self.port = folder, free_port()
        self.out = folder / "said"
        environment = environment_for(folder, f"sqlite:///{folder / 'meets.sqlite3'}")
        line = [sys.executable, "manage.py", "serve_field", "--address", "127.0.0.1", "--port", str(self.port)]
        with self.out.open("w") as out:
            self.process = subprocess.Popen(
                [*line, *arguments], cwd=ROOT, env=environment, stdout=out, stderr=subprocess.STDOUT
            )

    @property
    def said(self) -> str:
        return self.out.read_text(encoding="utf-8")

    def up(self) -> "Served":
        end = time.monotonic() + 90
        while "Stop with Ctrl-C" not in self.said:
            assert self.process.poll() is None, self.said
            assert time.monotonic() < end, self.said
            time.sleep(0.1)
        return self

    def stop(self) -> int:
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(30)


@pytest.fixture
def served(tmp_path):
    running = []

    def start(*arguments: str) -> Served:
        running.append(Served(tmp_path, *arguments))
        return running[-1]

    yield start
    for one in running:
        if one.process.poll() is None:
            one.stop()


def got(connection: http.client.HTTPConnection, path: str) -> tuple[int, http.client.HTTPMessage, bytes]:
    with closing(connection):
        connection.request("GET", path)
        answer = connection.getresponse()
        return answer.status, answer.headers, answer.read()


def nobody_listens(port: int) -> bool:
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=5)) as connection:
        try:
            connection.connect()
        except ConnectionRefusedError:
            return True
    return False


def test_a_phone_loads_the_certificate_and_is_served_by_https(served):
    running = served().up()
    trust = http.client.HTTPConnection("127.0.0.1", running.port + 1, timeout=10)
    status, headers, page = got(trust, "/")
    assert (status, headers["Content-Type"]) == (200, "text/html; charset=utf-8")
    status, headers, certificate = got(trust, "/nearest-break.crt")
    assert (status, headers["Content-Type"]) == (200, "application/x-x509-ca-cert")
    status, headers, _body = got(trust, "/desk/")
    assert (status, headers["Location"]) == (302, "/")

    trusting = ssl.create_default_context(cadata=certificate)
    meet = http.client.HTTPSConnection("127.0.0.1", running.port, timeout=10, context=trusting)
    status, headers, _body = got(meet, "/pit/phone/")
    assert (status, headers["Strict-Transport-Security"]) == (200, None)
    status, _headers, body = got(meet, "/sync/v1/openapi.json")
    assert (status, json.loads(body)["openapi"][:3]) == (200, "3.1")
    status, headers, _body = got(meet, "/desk/sign-in/")
    assert status == 200
    assert "Secure" in headers["Set-Cookie"]

    fingerprint = re.search(r"same as on that page:\n((?:    [0-9A-F ]+\n)+)", running.said)[1].split()
    assert re.search(r"<code>(.*?)</code>", page.decode(), re.DOTALL)[1].replace("<br>", " ").split() == fingerprint
    assert f"https://127.0.0.1:{running.port}/pit/phone/" in page.decode()
    assert len(list((running.folder / "backups").iterdir())) == 1
    assert (running.folder / "reserve").stat().st_size == 64_000_000

    assert running.stop() == 0
    assert "Stopped. Phones keep what they have not sent" in running.said
    assert nobody_listens(running.port)
    assert nobody_listens(running.port + 1)


def test_plain_is_plain_and_says_what_is_lacking(served):
    running = served("--plain").up()
    meet = http.client.HTTPConnection("127.0.0.1", running.port, timeout=10)
    assert got(meet, "/pit/phone/")[0] == 200
    assert nobody_listens(running.port + 1)
    assert "Without HTTPS: whoever is in the same network can read" in running.said
    assert running.stop() == 0


def test_only_one_serves_and_nothing_is_restored_meanwhile(served, tmp_path):
    running = served("--plain").up()
    second = served("--plain")
    assert second.process.wait(60) == 2
    assert "is being served from this folder of data already" in second.said
    [copy] = (tmp_path / "backups").iterdir()
    environment = environment_for(tmp_path, f"sqlite:///{tmp_path / 'meets.sqlite3'}")
    line = [sys.executable, "manage.py", "restore", str(copy)]
    refused = subprocess.run(line, cwd=ROOT, env=environment, capture_output=True, text=True)
    assert refused.returncode == 2
    assert "is being served from this database. Stop that first" in refused.stderr
    assert running.stop() == 0


def test_when_the_command_is_killed_the_server_ends_as_well(served):
    running = served("--plain").up()
    running.process.kill()
    running.process.wait(10)
    end = time.monotonic() + 30
    while not nobody_listens(running.port):
        assert time.monotonic() < end
        time.sleep(0.2)


def test_an_address_of_somebody_else_is_refused(tmp_path):
    environment = environment_for(tmp_path, f"sqlite:///{tmp_path / 'meets.sqlite3'}")
    line = [sys.executable, "manage.py", "serve_field", "--address", "203.0.113.9"]
    refused = subprocess.run(line, cwd=ROOT, env=environment, capture_output=True, text=True)
    assert refused.returncode == 2
    assert "--address 203.0.113.9 is no address of a local network" in refused.stderr
