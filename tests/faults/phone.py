"""A phone in Python, by the protocol: saves first, sends in order until it is told that the server has it."""

import json
import random
import threading
import time
from collections.abc import Iterator
from http.client import HTTPConnection, HTTPException
from uuid import uuid4

from tests.faults.judge import Ledger
from tests.meets.pit.sync.canonical import canonical_hash

MOST_ENTRIES, TIMEOUT_S = 50, 8.0
COUNTS_AS_THERE = {"stored", "duplicate", "needs_review", "quarantined"}


class NotIn(AssertionError):
    """The phone was not let in."""


class Phone:
    """Comes in at `port`, and may be told another port to send to: that of a proxy."""

    def __init__(self, port: int, meet: dict, ledger: Ledger, *, role: str = "recorder", timeout_s=TIMEOUT_S) -> None:
        self.port, self.meet, self.ledger, self.role, self.timeout_s = port, meet, ledger, role, timeout_s
        self.epoch, self.entries, self.there = str(uuid4()), [], set()
        self.server_epoch: str | None = None
        self.pushes = self.answered = 0
        self._turns = self._all_turns()
        self._one = threading.Lock()
        key = meet["keys"][("recorder", "second").index(role)]
        said = {"key": key, "official": "R. Corder", "app_version": "test"}
        status, _type, body = self._post("/sync/v1/join", said, {})
        if status != 201:
            raise NotIn(f"{status}: {body[:200]}")
        joined = json.loads(body)
        self.device, self.token = joined["device"], joined["token"]

    def _all_turns(self) -> Iterator[tuple[int, str, int]]:
        """Turns one after the other, and again from the start: then two marks stand for one trial."""
        while True:
            for round in range(1, 4):
                for event, entries in self.meet["events"].items():
                    for entry in entries:
                        yield int(event), entry, round

    def write(self, mark: int | None = None) -> dict:
        """Save a trial on the phone."""
        event, entry, round = next(self._turns)
        with self._one:
            seq = len(self.entries) + 1
            said = {
                "v": 1, "id": str(uuid4()), "device": self.device, "epoch": self.epoch, "seq": seq,
                "meet": self.meet["meet"], "session": self.meet["session"], "event": event,
                "role": self.role, "kind": "jumped",
                "values": {
                    "entry": entry, "round": round, "result": "mark",
                    "mark": mark or 430 + (seq * 37 + int(entry)) % 130, "board_cm": 100,
                },
                "supersedes": [], "reason": "", "official": "R. Corder", "wall": int(time.time() * 1000), "offset": 0,
                "app": "test",
            }  # fmt: skip
            said["hash"] = canonical_hash(said)
            self.entries.append(said)
        self.ledger.save(said)
        return said

    @property
    def waiting(self) -> list[dict]:
        return [entry for entry in list(self.entries) if entry["id"] not in self.there]

    def push(self, entries: list[dict] | None = None, **headers: str) -> bool:
        """Send what waits, or what is named; whether it was answered."""
        batch = (self.waiting if entries is None else entries)[:MOST_ENTRIES]
        said = {
            "device": self.device, "epoch": self.epoch, "max_seq": len(self.entries),
            "server_epoch": self.server_epoch, "entries": batch,
        }  # fmt: skip
        self.pushes += 1
        try:
            status, kind, body = self._post("/sync/v1/push", said, {"Authorization": f"Bearer {self.token}", **headers})
        except (OSError, HTTPException):
            return False
        return self._taken(batch, status, kind, body)

    def _taken(self, batch: list[dict], status: int, kind: str, body: bytes) -> bool:
        """What counts as an answer: 200, JSON, the server's life named, my ids echoed, one after the other."""
        if status != 200 or kind.partition(";")[0] != "application/json":
            return False
        try:
            said = json.loads(body)
            epoch, have = said["server_epoch"], said["have"]
            results = {one["id"]: one["status"] for one in said["results"]}
            upto, holes = have["upto"], [tuple(hole) for hole in have["holes"]]
        except (ValueError, KeyError, TypeError):
            return False
        if not epoch or set(results) != {entry["id"] for entry in batch}:
            return False
        gone = {
            entry["id"]
            for entry in self.entries
            if entry["seq"] > upto
            and (any(first <= entry["seq"] <= last for first, last in holes) or epoch != self.server_epoch)
        }
        taken = {one for one, status in results.items() if status in COUNTS_AS_THERE}
        self.there = (self.there - gone) | taken
        self.ledger.acknowledge(taken)
        self.server_epoch = epoch
        self.answered += 1
        return True

    def drain(self, within_s: float, pause_s: float = 0.02) -> bool:
        """Send until nothing waits and the server has said so; False when the time is over."""
        end = time.monotonic() + within_s
        while time.monotonic() < end:
            if self.push() and not self.waiting:
                return True
            time.sleep(random.uniform(0.5, 1) * pause_s)
        return False

    def _post(self, path: str, said: dict, headers: dict[str, str]) -> tuple[int, str, bytes]:
        connection = HTTPConnection("127.0.0.1", self.port, timeout=self.timeout_s)
        try:
            kind = {"Content-Type": "application/json", "Connection": "close"}
            connection.request("POST", path, json.dumps(said).encode(), {**kind, **headers})
            answer = connection.getresponse()
            return answer.status, answer.headers.get("Content-Type", ""), answer.read()
        finally:
            connection.close()
