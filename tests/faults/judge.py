"""One judge for all faults: what phones were promised against what the database holds."""

import json
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import dataclass, field
from threading import Lock

from tests.bench.serving import ROOT


@dataclass
class Ledger:
    """What the officials saw: `written`, saved on a phone (the first tick); `acked`, on the server (the second)."""

    written: dict[str, dict] = field(default_factory=dict)
    acked: set[str] = field(default_factory=set)
    _one: Lock = field(default_factory=Lock, repr=False)

    def save(self, entry: dict) -> None:
        with self._one:
            self.written[entry["id"]] = json.loads(json.dumps(entry))

    def acknowledge(self, ids: Iterable[str]) -> None:
        with self._one:
            self.acked |= set(ids)


@dataclass(frozen=True)
class Verdict:
    """Ids of entries that went wrong, by how; `other` names what is wrong with the whole."""

    lost_acked: list[str]
    lost: list[str]
    doubled: list[str]
    changed: list[str]
    not_in_log: list[str]
    other: list[str]

    @property
    def wrong(self) -> dict[str, list[str]]:
        """All that is wrong, {} if nothing is."""
        return {name: found for name, found in vars(self).items() if found}

    def figures(self) -> str:
        lost = len({*self.lost_acked, *self.lost})
        return f"{lost} lost, {len(self.doubled)} doubled, {len(self.changed)} silently changed"


def judge(ledger: Ledger, found: dict, still_on_phones: Iterable[str] = (), *, drained: bool = True) -> Verdict:
    """`still_on_phones`: ids that phones have not been told are there. After draining, state = replay of the ledger."""
    there = {one["id"]: one for one in found["deliveries"]}
    ids = [one["id"] for one in found["deliveries"]]
    in_log = found["log"]
    other = []
    if found["set_aside"]:
        other.append(f"{found['set_aside']} entries were set aside")
    if not found["sound"]:
        other.append("the database is damaged")
    if strange := set(there) - set(ledger.written):
        other.append(f"{len(strange)} entries are there that nobody wrote")
    other += [f"{one['id']}: {one['problem']}" for one in found["deliveries"] if one["status"] != "stored"]
    if drained and found["state"] != found["expected"]:
        other.append("the state of an event is not that of the ledger")
    return Verdict(
        lost_acked=sorted(ledger.acked - set(there)),
        lost=sorted(set(ledger.written) - set(there) - (set() if drained else set(still_on_phones))),
        doubled=sorted({one for one in (*ids, *in_log) if ids.count(one) > 1 or in_log.count(one) > 1})
        if len(set(ids)) < len(ids) or len(set(in_log)) < len(in_log)
        else [],
        changed=sorted(one for one, entry in ledger.written.items() if one in there and there[one]["body"] != entry),
        not_in_log=sorted(set(there) ^ set(in_log)),
        other=other,
    )


def look(environment: dict[str, str], ledger: Ledger) -> dict:
    """What the database holds, seen by a process of its own."""
    ran = subprocess.run(
        [sys.executable, "-m", "tests.faults.look"],
        cwd=ROOT,
        env=environment,
        input=json.dumps(list(ledger.written.values())),
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert ran.returncode == 0, ran.stderr
    return json.loads(ran.stdout)
