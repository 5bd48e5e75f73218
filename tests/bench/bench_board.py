"""The live board with a page that is kept, against a bare view of as many bytes in the same server and middleware.

Asked for in three ways: whole, packed, and by who has this version already. Own and floor take turns, so that whatever
else the machine does meets both. While it runs, each process looks up the version as often as it does on the day.
"""

import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time

from tests.bench.clock import SMOKE
from tests.bench.serving import gunicorn

SECONDS, TURNS = (0.1, 2) if SMOKE else (0.2, 30)
AT_LEAST = 0.8
SERVERS = {
    "gthread, 1 worker of 4 threads": ("-w", "1", "-k", "gthread", "--threads", "4"),
    "sync, 1 worker": ("-w", "1", "-k", "sync"),
}
ATHLETES, MARKS = 24, 60


def set_up() -> None:
    """Print the address of an event in progress that everybody may see."""
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    from meets.models import LogRow
    from scoring.rulesets import rule_set
    from scoring.state import StartLine
    from tests.build import played
    from tests.factories import EntryFactory, EventFactory, LogRowFactory, PitSessionFactory, SessionPartFactory

    event = EventFactory(discipline="LJ", boards_cm=[200], meet__is_public=True, meet__slug="bench")
    SessionPartFactory(event=event, session=PitSessionFactory(pit__meet=event.meet))
    keys = [str(entry.pk) for entry in EntryFactory.create_batch(ATHLETES, event=event)]
    rows = played([StartLine(key, key) for key in keys], (keys,), rule_set("international"))[: ATHLETES + 2 * MARKS]
    LogRow.objects.bulk_create(LogRowFactory.build(event=event, rev=row.rev, fact=row.fact) for row in rows)
    sys.stdout.write(f"/live/bench/{event.pk}/")


class Connection:
    """Asks one thing again and again; opens anew where the server closes."""

    def __init__(self, port: int, path: str, header: str = "") -> None:
        self.port, self.socket, self.rest = port, None, b""
        self.request = f"GET {path} HTTP/1.1\r\nHost: localhost\r\n{header}\r\n".encode()

    def ask(self) -> tuple[bytes, int]:
        """The head of the answer, and how many bytes came with it."""
        if self.socket is None:
            self.socket = socket.create_connection(("127.0.0.1", self.port), 10)
            self.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self.socket.sendall(self.request)
        data = b""
        while b"\r\n\r\n" not in data:
            data += self._more()
        head, _blank, body = data.partition(b"\r\n\r\n")
        low = head.lower()
        length = int(low.partition(b"content-length: ")[2].split(b"\r")[0] or 0)
        got = len(body)
        while got < length:
            got += len(self._more())
        if b"connection: close" in low:
            self.socket.close()
            self.socket = None
        return head, got

    def _more(self) -> bytes:
        data = self.socket.recv(1 << 18)
        if not data:
            raise SystemExit("the server has hung up")
        return data

    def per_second(self, seconds: float) -> float:
        asked, start = 0, time.perf_counter()
        while (now := time.perf_counter()) < start + seconds:
            self.ask()
            asked += 1
        return asked / (now - start)


def bench(server: str, options: tuple[str, ...], address: str, environment: dict[str, str]) -> None:
    with gunicorn("tests.bench.floor_board:application", *options, **environment) as port:
        whole, size = Connection(port, address).ask()
        _head, packed = Connection(port, address, "Accept-Encoding: gzip\r\n").ask()
        tag = next(line for line in whole.decode().split("\r\n") if line.lower().startswith("etag"))[5:].strip()
        known = f"If-None-Match: {tag}\r\n"
        ways = {
            f"whole, {size:,} bytes": (address, f"/bare/{size}/", "", b" 200 "),
            f"packed, {packed:,} bytes": (address, f"/bare/{packed}/packed/", "Accept-Encoding: gzip\r\n", b" 200 "),
            "nothing new": (address, "/bare/same/", known, b" 304 "),
        }
        for way, (own_path, floor_path, header, status) in ways.items():
            own, floor = Connection(port, own_path, header), Connection(port, floor_path, header)
            answers = [own.ask(), floor.ask()]
            first_lines = [head.partition(b"\r\n")[0] for head, _got in answers]
            if any(status not in line + b" " for line in first_lines):
                raise SystemExit(f"{way}: {first_lines}")
            if answers[0][1] != answers[1][1]:
                raise SystemExit(f"{way}: {answers[0][1]} bytes against {answers[1][1]}")
            say(f"{server}: {way}", own, floor)


def say(what: str, own: Connection, floor: Connection) -> None:
    own_rates, floor_rates = [], []
    for _ in range(TURNS):
        own_rates.append(own.per_second(SECONDS))
        floor_rates.append(floor.per_second(SECONDS))
    ratio = statistics.median(one / other for one, other in zip(own_rates, floor_rates, strict=True))
    verdict = "yes" if ratio >= AT_LEAST else "UNDER"
    sys.stdout.write(
        f"{what:<58}{statistics.median(own_rates):>8,.0f} a second   floor {statistics.median(floor_rates):>8,.0f}   "
        f"ratio {ratio:>5.2f}   at least {AT_LEAST:g}: {verdict}\n"
    )
    sys.stdout.flush()


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        environment = {
            "DATABASE_URL": f"sqlite:///{folder}/bench.sqlite3",
            "NEAREST_BREAK_DATA": folder,
            "DJANGO_SETTINGS_MODULE": "meets.settings",
            "NEAREST_BREAK_HOSTS": "localhost",
            "NEAREST_BREAK_SECRET_KEY": "bench" * 20,
            "FLOOR_BOARD": "yes",
        }
        run = {"env": {**os.environ, **environment}, "check": True, "stdout": subprocess.PIPE, "text": True}
        command = [sys.executable, "-m", "tests.bench.bench_board", "--set-up"]
        address = subprocess.run(command, **run).stdout
        for server, options in SERVERS.items():
            bench(server, options, address, environment)


if __name__ == "__main__":
    set_up() if "--set-up" in sys.argv else main()
