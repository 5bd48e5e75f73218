"""A server of the product as a group of processes of its own, that can be killed and started again."""

import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from http.client import HTTPConnection, HTTPException
from pathlib import Path

from tests.bench.serving import ROOT, free_port

STARTS_WITHIN_S = 60
DIES_WITHIN_S = 5
OPTIONS = ("-k", "gthread", "--threads", "8", "--preload", "--log-level", "critical", "--timeout", "60")


def environment_for(folder: Path, url: str) -> dict[str, str]:
    """What the server, and whoever looks at its database, read from their environment."""
    return {
        **os.environ,
        "DATABASE_URL": url,
        "NEAREST_BREAK_DATA": str(folder),
        "NEAREST_BREAK_HOSTS": "localhost,127.0.0.1",
        "NEAREST_BREAK_HTTPS": "no",
        "DJANGO_SETTINGS_MODULE": "meets.settings",
        "NEAREST_BREAK_SECRET_KEY": "a key for tests " * 5,
    }


class Server:
    """With several `workers` the rest answers while a killed one is being started again."""

    def __init__(self, folder: Path, url: str, **more: str) -> None:
        self.environment = environment_for(folder, url) | more
        self.port = free_port()
        self.log = folder / "server.log"
        self.workers = 1
        self.process: subprocess.Popen | None = None

    def start(self, *wrapped: str) -> "Server":
        line = [sys.executable, "-m", "gunicorn", "tests.faults.crashing:application", *OPTIONS]
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                [*wrapped, *line, "-w", str(self.workers), "-b", f"127.0.0.1:{self.port}"],
                cwd=ROOT,
                env=self.environment,
                start_new_session=True,
                stdout=log,
                stderr=log,
            )
        end = time.monotonic() + STARTS_WITHIN_S
        while not self.answers():
            if time.monotonic() > end or self.process.poll() is not None:
                raise AssertionError(f"the server did not start: {self.log.read_text()[-2000:]}")
            time.sleep(0.02)
        return self

    def answers(self) -> bool:
        try:
            connection = HTTPConnection("127.0.0.1", self.port, timeout=5)
            connection.request("GET", "/sync/v1/openapi.json", headers={"Connection": "close"})
            return connection.getresponse().status == 200
        except (OSError, HTTPException):
            return False
        finally:
            connection.close()

    def start_again(self) -> None:
        """After the whole group was told to die; where that met a process just dying, nobody heard it."""
        try:
            self.process.wait(DIES_WITHIN_S)
        except subprocess.TimeoutExpired:
            self.kill()
        self.start()

    def kill(self) -> None:
        """As a power cut ends processes: all at once, with no chance to tidy up."""
        if self.process is None:
            return
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def manage(self, *arguments: str) -> subprocess.CompletedProcess:
        return subprocess.run(
            [sys.executable, "manage.py", *arguments],
            cwd=ROOT,
            env=self.environment,
            capture_output=True,
            text=True,
            timeout=120,
        )
