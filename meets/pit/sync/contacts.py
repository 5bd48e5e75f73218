"""A phone says that it is there, and how much it still holds."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import connection, transaction

from meets.models import Device
from meets.pit.keys.access import Caller
from meets.pit.problems import NotUnderstood
from meets.pit.sync import tables
from meets.pit.sync.having import Have, have_from, set_aside_seqs
from meets.pit.sync.message import LARGEST, id_in, read_object, short_text, whole_number
from meets.pit.sync.streams import locked_stream
from meets.pit.sync.versions import versions_of
from meets.running.write_lock import one_writer

LONGEST_OFF_S = LARGEST


@dataclass(frozen=True, slots=True)
class Contact:
    """What a phone says of itself."""

    device: UUID
    epoch: UUID
    max_seq: int
    unsent: int
    clock_off_s: int
    app_version: str
    official: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What it is told; `versions`: session id -> a text that changes whenever something in the session does."""

    server_epoch: UUID
    have: Have
    versions: Mapping[str, str]


def read_contact(text: str) -> Contact:
    """Raises NotUnderstood."""
    said, _entries = read_object(text)
    off_ms = said.get("clock_off_ms", 0)
    if type(off_ms) is not int:
        raise NotUnderstood("clock_off_ms", "a whole number of milliseconds")
    return Contact(
        id_in(said, "device"),
        id_in(said, "epoch"),
        whole_number(said, "max_seq"),
        whole_number(said, "unsent"),
        max(-LONGEST_OFF_S, min(off_ms // 1000, LONGEST_OFF_S)),
        short_text(said, "app_version", 40),
        short_text(said, "official", 80),
    )


def contact(*, said: Contact, caller: Caller, now: datetime) -> Answer:
    """Note that a phone is there, what it holds and which number it has reached."""
    device = caller.device
    with one_writer(), transaction.atomic(durable=True), connection.cursor() as cursor:
        stream = locked_stream(cursor, device.pk, said.epoch, now)
        above = set()
        if max(said.max_seq, stream.max_seq) > stream.upto:
            above = {*tables.seqs_above(cursor, stream.pk, stream.upto)} | set_aside_seqs(device.pk, said.epoch)
        if said.max_seq > stream.max_seq:
            stream.max_seq = said.max_seq
            tables.run(cursor, [tables.stream_kept(stream)])
        have = have_from(stream.upto, above, stream.max_seq)
        noted = {"last_contact": now, "unsent": said.unsent, "clock_off_s": said.clock_off_s}
        noted |= {"app_version": said.app_version} if said.app_version else {}
        noted |= {"official": said.official} if said.official else {}
        Device.objects.filter(pk=device.pk).update(**noted)
    return Answer(stream.server_epoch, have, versions_of(caller.key))
