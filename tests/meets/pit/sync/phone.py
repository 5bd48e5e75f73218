"""A phone as the tests of receiving use it: it numbers its entries, keeps them, and sends what it is told to."""

import json
from datetime import UTC, datetime
from uuid import UUID, uuid4

from meets.models import Device
from meets.pit.keys.access import Caller
from meets.pit.sync.actions import Pushed, push
from meets.pit.sync.bringers import bringer_of
from meets.pit.sync.message import read_batch
from tests.factories import DeviceFactory, PitKeyFactory
from tests.meets.pit.sync.canonical import canonical_hash

NOW = datetime(2027, 6, 12, 11, 0, tzinfo=UTC)
WALL = int(datetime(2027, 6, 12, 10, 30, tzinfo=UTC).timestamp() * 1000)


class Phone:
    """`said`: every entry that was ever written on it, in order; `epoch` names its database."""

    def __init__(self, session, *roles: str, event=None) -> None:
        key = PitKeyFactory(session=None if event else session, event=event, roles=list(roles or ("recorder",)))
        self.device: Device = DeviceFactory(key=key)
        self.session, self.role = session, (roles or ("recorder",))[0]
        self.epoch: UUID = uuid4()
        self.said: list[dict] = []

    @property
    def caller(self) -> Caller:
        device = Device.objects.select_related("key").get(pk=self.device.pk)
        return Caller(device=device, roles=frozenset(device.key.roles), key=device.key, late=False)

    def write(self, event, kind: str, values: dict, /, **more) -> dict:
        """Save an entry on the phone."""
        entry = {
            "v": 1,
            "id": str(uuid4()),
            "device": str(self.device.pk),
            "epoch": str(self.epoch),
            "seq": len(self.said) + 1,
            "meet": event.meet_id,
            "session": self.session.pk,
            "event": event.pk,
            "role": self.role,
            "kind": kind,
            "values": values,
            "supersedes": [],
            "reason": "",
            "official": "R. Corder",
            "wall": WALL + 60_000 * len(self.said),
            "offset": 0,
            "app": "1",
            **more,
        }
        entry.setdefault("hash", canonical_hash(entry))
        self.said.append(entry)
        return entry

    def jump(self, event, bib: str, round: int, mark: int | None = 543, /, **more) -> dict:
        values = {"entry": key_of(event, bib), "round": round, "result": "mark" if mark else "x"}
        return self.write(event, "jumped", values | ({"mark": mark} if mark else {}), **more)

    def text(self, *entries: dict, max_seq: int | None = None) -> str:
        """The batch as it goes over the air; all that was written if nothing is named."""
        entries = entries or tuple(self.said)
        batch = {
            "device": str(self.device.pk),
            "epoch": str(self.epoch),
            "max_seq": len(self.said) if max_seq is None else max_seq,
            "server_epoch": None,
            "entries": list(entries),
        }
        return json.dumps(batch)

    def send(self, *entries: dict, by: "Phone | None" = None, now: datetime = NOW, **more) -> Pushed:
        """Hand a batch to the server; `by` another phone."""
        return push(batch=read_batch(self.text(*entries, **more)), bringer=bringer_of((by or self).caller), now=now)

    def send_all(self, **more) -> Pushed:
        return self.send(*self.said, **more)


def key_of(event, bib: str) -> str:
    return str(event.entries.get(bib=bib).pk)


def statuses(pushed: Pushed) -> list[str]:
    return [result.status for result in pushed.results]
