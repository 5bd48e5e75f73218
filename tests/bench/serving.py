"""Servers and databases of a bench, each thrown away after it, and the load of writers on them."""

import asyncio
import atexit
import os
import pwd
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from random import SystemRandom
from urllib.parse import quote

PG_BIN = Path(os.environ.get("PG_BINDIR", "/usr/lib/postgresql/15/bin"))
ROOT = Path(__file__).resolve().parents[2]
# What no answer to a writer may hold: an entry that waits for somebody, numbers missing in a stream.
UNEXPECTED = (b"needs_review", b'"holes": [[')


@dataclass(frozen=True, slots=True)
class Load:
    """How long each request took, and how many answers were not as expected."""

    taken_s: list[float]
    errors: int


PORTS = range(20000, 32000, 2)
"""Below those that systems give to connections that go out."""

_HELD: deque[socket.socket] = deque()
_HELD_AT_MOST = 200


def free_port() -> int:
    """A port that nobody has, nor the next one, which a server by HTTPS takes for its trust page.

    On Linux nobody else is given them by this function as long as this process has asked for few others since.
    """
    # Not the seeded generator: every process that tests run in would be given the same ports.
    for port in SystemRandom().sample(PORTS, 100):
        with suppress(OSError), socket.socket() as door, socket.socket() as next_door:
            door.bind(("127.0.0.1", port))
            next_door.bind(("127.0.0.1", port + 1))
            if sys.platform == "linux":
                _hold(door, next_door)
            return port
    raise AssertionError(f"none of 100 ports from {PORTS.start} on is free")


def _hold(*doors: socket.socket) -> None:
    """Keep what was bound alone from everybody but a server, which may bind what only was bound, and no other may."""
    for door in doors:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        _HELD.append(door.dup())
    _let_go(_HELD_AT_MOST)


@atexit.register
def _let_go(down_to: int = 0) -> None:
    while len(_HELD) > down_to:
        _HELD.popleft().close()


@contextmanager
def gunicorn(application: str, *options: str, **environment: str) -> Iterator[int]:
    """A server on a port of its own while the block runs."""
    port = free_port()
    command = [sys.executable, "-m", "gunicorn", application, "-b", f"127.0.0.1:{port}", "--log-level", "error"]
    server = subprocess.Popen([*command, *options], cwd=ROOT, env={**os.environ, **environment})
    try:
        for _ in range(200):
            try:
                socket.create_connection(("127.0.0.1", port), 0.2).close()
                break
            except OSError:
                time.sleep(0.05)
        time.sleep(0.7)
        yield port
    finally:
        server.terminate()
        try:
            server.wait(10)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


@contextmanager
def postgresql() -> Iterator[str | None]:
    """The folder of the socket of a new server with its defaults (fsync on), port 54331; None where there is none."""
    if not (PG_BIN / "postgres").exists():
        yield None
        return
    home = Path(tempfile.mkdtemp(prefix="bench-postgresql-"))
    as_user = []
    if os.geteuid() == 0:
        home.chmod(0o711)
        os.chown(home, pwd.getpwnam("postgres").pw_uid, -1)
        as_user = ["runuser", "-u", "postgres", "--"]

    def run(program: str, *arguments: str, check: bool = True) -> None:
        subprocess.run(
            [*as_user, str(PG_BIN / program), "-D", str(home / "data"), *arguments],
            check=check,
            stdout=subprocess.DEVNULL,
            cwd="/",
        )

    try:
        run("initdb", "-U", "nearest", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "-N")
        options = f"-p {PG_PORT} -k {home} -c listen_addresses=''"
        run("pg_ctl", "-l", str(home / "log"), "-s", "-w", "-o", options, "start")
        yield str(home)
    finally:
        run("pg_ctl", "-m", "fast", "-s", "stop", check=False)
        shutil.rmtree(home, ignore_errors=True)


PG_PORT = 54331


def postgresql_url(socket_folder: str, name: str = "postgres") -> str:
    return f"postgresql://nearest@{quote(socket_folder, safe='')}:{PG_PORT}/{name}"


def load(port: int, path: str, bodies: Sequence[Iterator[bytes]], seconds: float, headers: Sequence[str]) -> Load:
    """One connection for each stream of bodies, each sending the next as soon as the last is answered."""
    taken: list[float] = []
    errors = 0
    end = time.perf_counter() + seconds

    async def writer(stream: Iterator[bytes], header: str) -> None:
        nonlocal errors
        reading = writing = None
        # A body that is taken is sent: a number left out would be a gap in its stream, for which the server looks.
        while (start := time.perf_counter()) < end:
            body = next(stream)
            head = (
                f"POST {path} HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n{header}"
                f"Content-Length: {len(body)}\r\n\r\n"
            )
            try:
                if writing is None:
                    reading, writing = await asyncio.open_connection("127.0.0.1", port)
                writing.write(head.encode() + body)
                said = await reading.readuntil(b"\r\n\r\n")
                low = said.lower()
                length = int(low.partition(b"content-length: ")[2].partition(b"\r")[0])
                answer = await reading.readexactly(length)
            except (OSError, ValueError, asyncio.IncompleteReadError):
                errors, writing = errors + 1, None
                continue
            taken.append(time.perf_counter() - start)
            errors += b" 200 " not in said.split(b"\r\n")[0] + b" " or any(one in answer for one in UNEXPECTED)
            if b"connection: close" in low:
                writing.close()
                writing = None

    async def everybody() -> None:
        await asyncio.gather(*(writer(*one) for one in zip(bodies, headers, strict=True)))

    asyncio.run(everybody())
    return Load(taken, errors)
