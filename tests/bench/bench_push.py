"""A push of one entry against a view with one durable INSERT, through the same server in the same run.

For 16 writers on SQLite the floor has a lock around its INSERT. The floor goes the way of a push, past what only pages
need; `bare` is the same view in a server with nothing else: no middleware, no other settings. Streams of 16 phones
write into one event, so that they meet at its log. All take turns.
"""

import json
import os
import runpy
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import UTC, date, datetime
from itertools import repeat
from uuid import uuid4

from tests.bench.clock import SMOKE
from tests.bench.serving import PG_BIN, gunicorn, load, postgresql, postgresql_url
from tests.meets.pit.sync.canonical import canonical_hash

PHONES = 16
# Short turns, so that whatever else the machine does meets all of them alike.
SECONDS, TURNS = (0.4, 1) if SMOKE else (0.5, 25)
MEDIAN_LIMIT = {"sqlite": 2.5, "postgresql": 3.0}
P99_LIMIT = 3.0
SERVERS = {
    "sync, 2 workers": ("-w", "2", "-k", "sync"),
    "gthread, 2 workers of 4 threads": ("-w", "2", "-k", "gthread", "--threads", "4"),
}
SERVER = "tests.bench.floor_push:application"
DAY = date(2027, 6, 12)
WALL = int(datetime(2027, 6, 12, 10, tzinfo=UTC).timestamp() * 1000)


def set_up() -> None:
    """Print what phones need: a meet with one event of 24, a key, and 16 phones that have come in with it."""
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    runpy.run_module("tests.bench.floor_push", run_name="__main__")
    from meets.models import Device
    from meets.pit.keys.tokens import token_of
    from meets.running import actions
    from tests.factories import (
        DeviceFactory,
        EntryFactory,
        EventFactory,
        PitKeyFactory,
        PitSessionFactory,
        SessionPartFactory,
    )

    event = EventFactory(discipline="LJ", meet__date=DAY)
    entries = EntryFactory.create_batch(24, event=event, seed_mark=None)
    actions.draw(event_id=event.pk, seed=1, by="bench", recorder="desk", now=datetime.now(UTC))
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    key = PitKeyFactory(session=session)
    devices: list[Device] = DeviceFactory.create_batch(PHONES, key=key)
    said = {
        "meet": event.meet_id,
        "event": event.pk,
        "session": session.pk,
        "entries": [str(entry.pk) for entry in entries],
        "phones": [(str(device.pk), token_of(device)) for device in devices],
    }
    sys.stdout.write(json.dumps(said))


class Bodies:
    """Batches of one entry, made before they are timed; a phone goes on where it stopped."""

    def __init__(self, meet: dict, device: str) -> None:
        self.meet, self.device, self.epoch, self.seq = meet, device, str(uuid4()), 0
        self.made: list[bytes] = []

    def make(self, many: int) -> None:
        while len(self.made) < many:
            self.seq += 1
            entries = self.meet["entries"]
            entry = {
                "v": 1, "id": str(uuid4()), "device": self.device, "epoch": self.epoch, "seq": self.seq,
                "meet": self.meet["meet"], "session": self.meet["session"], "event": self.meet["event"],
                "role": "recorder", "kind": "jumped",
                "values": {
                    "entry": entries[self.seq % len(entries)], "round": self.seq % 6 + 1, "result": "mark",
                    "mark": 430 + self.seq % 130, "board_cm": 100,
                },
                "supersedes": [], "reason": "", "official": "R. Corder", "wall": WALL, "offset": 0, "app": "bench",
            }  # fmt: skip
            entry["hash"] = canonical_hash(entry)
            batch = {"device": self.device, "epoch": self.epoch, "max_seq": self.seq, "server_epoch": None}
            self.made.append(json.dumps({**batch, "entries": [entry]}, separators=(",", ":")).encode())

    def take(self) -> Iterator[bytes]:
        while self.made:
            yield self.made.pop(0)


def bench(database: str, own_url: str, floor: dict[str, str], folder: str) -> None:
    environment = {
        "DATABASE_URL": own_url,
        "NEAREST_BREAK_DATA": folder,
        "DJANGO_SETTINGS_MODULE": "meets.settings",
        "NEAREST_BREAK_HOSTS": "localhost",
        "NEAREST_BREAK_SECRET_KEY": "bench" * 20,
    }
    run = {"env": {**os.environ, **environment}, "check": True, "stdout": subprocess.PIPE, "text": True}
    smoke = ["--smoke"] if SMOKE else []
    meet = json.loads(
        subprocess.run([sys.executable, "-m", "tests.bench.bench_push", "--set-up", *smoke], **run).stdout
    )
    subprocess.run([sys.executable, "-m", "tests.bench.floor_push"], env={**os.environ, **floor}, check=True)
    own_floor = {"FLOOR_NAME": f"{folder}/write"}
    for name, options in SERVERS.items():
        with ExitStack() as servers:
            own = servers.enter_context(gunicorn(SERVER, *options, **{**environment, **floor, **own_floor}))
            bare = servers.enter_context(gunicorn(SERVER, *options, **floor))
            places = {"own": (own, "/sync/v1/push"), "floor": (own, "/w"), "bare": (bare, "/w")}
            one = turns(meet, 1, places)
            if database == "sqlite":
                places |= {"locked": (own, "/l")}
            many = turns(meet, PHONES, places)
        what = f"{database}, {name}"
        say(f"{what}: 1 writer, median", one, 0.5, "floor", MEDIAN_LIMIT[database])
        say(f"{what}: {PHONES} writers, median", many, 0.5, "floor", MEDIAN_LIMIT[database])
        say(f"{what}: {PHONES} writers, p99", many, 0.99, "locked" if "locked" in many else "floor", P99_LIMIT)
        say(f"  {what}: 1 writer, bare", one, 0.5, "bare")
        say(f"  {what}: {PHONES} writers, bare", many, 0.5, "bare")


def turns(meet: dict, writers: int, places: dict[str, tuple[int, str]]) -> dict[str, list[float]]:
    """How long requests took, in s: own and floors by turns, after one turn that only warms up."""
    phones = [Bodies(meet, device) for device, _token in meet["phones"][:writers]]
    headers = [f"Authorization: Bearer {token}\r\n" for _device, token in meet["phones"][:writers]]
    found: dict[str, list[float]] = {name: [] for name in places}
    for turn in range(TURNS + 1):
        for name, (port, path) in places.items():
            bodies = []
            for phone in phones:
                phone.make(int(SECONDS * 6000 / writers) + 200)
                # A floor reads nothing of what it is sent.
                bodies.append(phone.take() if name == "own" else repeat(phone.made[0]))
            result = load(port, path, bodies, SECONDS, headers)
            if result.errors:
                raise SystemExit(f"{name}: {result.errors} answers were not as expected")
            if turn:
                found[name] += result.taken_s
    return found


def say(what: str, found: dict[str, list[float]], share: float, floor: str, limit: float | None = None) -> None:
    own_ms, floor_ms = (sorted(found[name])[int(len(found[name]) * share)] * 1e3 for name in ("own", floor))
    ratio = own_ms / floor_ms
    verdict = "" if limit is None else f"at most {limit:g}: {'yes' if ratio <= limit else 'OVER'}"
    sys.stdout.write(f"{what:<70}{own_ms:>8.2f} ms   floor {floor_ms:>7.2f} ms   ratio {ratio:>5.2f}   {verdict}\n")
    sys.stdout.flush()


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        floor = {"FLOOR_DB": "sqlite", "FLOOR_NAME": f"{folder}/floor.sqlite3"}
        bench("sqlite", f"sqlite:///{folder}/bench.sqlite3", floor, folder)
    with postgresql() as socket_folder, tempfile.TemporaryDirectory() as folder:
        if socket_folder is None:
            sys.stdout.write("PostgreSQL is not on this machine\n")
            return
        port = postgresql_url("").rpartition(":")[2].partition("/")[0]
        floor = {"FLOOR_DB": "postgresql", "FLOOR_NAME": "floor", "FLOOR_HOST": socket_folder, "FLOOR_PORT": port}
        make = [str(PG_BIN / "createdb"), "-h", socket_folder, "-p", port, "-U", "nearest", "floor"]
        subprocess.run(make, check=True)
        bench("postgresql", postgresql_url(socket_folder), floor, folder)


if __name__ == "__main__":
    set_up() if "--set-up" in sys.argv else main()
