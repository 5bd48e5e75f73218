"""The outbox of a phone as a file: brought by another phone, or to the desk, when the phone itself cannot send."""

import logging
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.utils.translation import gettext as _

from meets.models import Device, Meet, PitKey
from meets.pit.crew import tidy_name
from meets.pit.keys.access import Caller
from meets.pit.problems import NotUnderstood
from meets.pit.sync.actions import DUPLICATE, NEEDS_REVIEW, QUARANTINED, STORED, NoSuchStream, Result, push
from meets.pit.sync.bringers import Bringer, bringer_of
from meets.pit.sync.having import Have
from meets.pit.sync.message import MOST_ENTRIES, Batch, read_id, read_object, sent_in
from meets.running.refusals import Refusal
from meets.running.write_lock import one_writer

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Delivered:
    """What became of a file: how many entries are new, were here already, wait for the desk, clash with others."""

    stored: int
    known: int
    waiting: int
    clashing: int
    results: tuple[Result, ...]
    have: tuple[tuple[str, Have], ...]


def deliver_file(*, text: str, meet: Meet, by: str, now: datetime, device: Device | None = None) -> Delivered:
    """Receive an exported outbox: an object with `entries`, or one entry a line. `device` brings it, or the desk.

    Raises Refusal with a sentence for a file that is none.
    """
    streams = _streams(text)
    results: list[Result] = []
    have = []
    for (owner, epoch), entries in streams.items():
        bringer = _bringer(meet, owner, device, entries, now)
        batches = [entries[first : first + MOST_ENTRIES] for first in range(0, len(entries), MOST_ENTRIES)]
        for part in batches:
            sent = tuple(sent_in(said, one, owner, epoch) for said, one in part)
            batch = Batch(owner, epoch, max(one.seq for one in sent), sent)
            try:
                done = push(batch=batch, bringer=bringer, now=now)
            except NoSuchStream as problem:
                raise Refusal(str(problem)) from problem
            results += done.results
        have.append((str(epoch), done.have))
    counted = {status: sum(result.status == status for result in results) for status in STATUSES}
    log.info("an outbox file of %d entries was delivered by %s", len(results), by)
    return Delivered(*counted.values(), tuple(results), tuple(have))


STATUSES = (STORED, DUPLICATE, NEEDS_REVIEW, QUARANTINED)
Entry = tuple[dict[str, object], str]


def _streams(text: str) -> dict[tuple[UUID, UUID], list[Entry]]:
    """The entries of a file by the stream they name, each stream in the order of its numbers."""
    found: dict[tuple[UUID, UUID], list[Entry]] = {}
    for said, one in _entries(text):
        device, epoch = (
            (read_id(said.get(name)) for name in ("device", "epoch")) if isinstance(said, dict) else (None,) * 2
        )
        if device is None or epoch is None or not isinstance(said.get("id"), str):
            raise Refusal(_("This is no outbox of a phone: an entry in it does not say whose it is."))
        found.setdefault((device, epoch), []).append((said, one))
    if not found:
        raise Refusal(_("There is no entry in this file."))
    for entries in found.values():
        entries.sort(key=lambda entry: entry[0]["seq"] if type(entry[0].get("seq")) is int else 0)
    return found


def _entries(text: str) -> Iterator[tuple[object, str]]:
    try:
        _said, entries = read_object(text)
    except NotUnderstood:
        entries = None
    if entries is not None:
        yield from entries
        return
    for line in filter(None, map(str.strip, text.splitlines())):
        try:
            said, _inner = read_object(line)
        except NotUnderstood as problem:
            raise Refusal(_("This is no outbox of a phone: a file with its entries is expected.")) from problem
        yield said, line


def _bringer(meet: Meet, owner: UUID, device: Device | None, entries: list[Entry], now: datetime) -> Bringer:
    """Who brings the entries of a phone; at the desk they count as brought by that phone itself."""
    known = Device.objects.select_related("key").filter(pk=owner, meet=meet).first()
    if known is None:
        known = _made_again(meet, owner, device.key if device else _key_for(meet, entries), entries, now)
    who = device or known
    return bringer_of(Caller(device=who, roles=frozenset(who.key.roles), key=who.key, late=False))


def _key_for(meet: Meet, entries: list[Entry]) -> PitKey:
    """The key that a phone unknown to this database must have had: the newest one for its pit and its roles."""
    said = entries[0][0]
    roles = {str(entry.get("role")) for entry, _text in entries}
    for field in ("session", "event"):
        if type(said.get(field)) is int:
            keys = PitKey.objects.filter(meet=meet, revoked_at=None, **{field: said[field]}).order_by("-pk")
            if fitting := [key for key in keys if roles <= set(key.roles)]:
                return fitting[0]
    raise Refusal(_("These entries are from a phone that this meet does not know. Make a key for its pit first."))


def _made_again(meet: Meet, owner: UUID, key: PitKey, entries: list[Entry], now: datetime) -> Device:
    """A phone that came in after the backup which this database was restored from."""
    if Device.objects.filter(pk=owner).exists():
        raise Refusal(_("These entries are from a phone of another meet."))
    official = entries[-1][0].get("official")
    with one_writer():
        highest = meet.devices.order_by("-number").values_list("number", flat=True).first() or 0
        return Device.objects.create(
            pk=owner,
            meet=meet,
            key=key,
            number=highest + 1,
            official=tidy_name(official) if isinstance(official, str) else "",
            came_in_at=now,
        )
