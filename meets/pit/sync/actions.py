"""Receiving what phones send. A batch is one transaction; nothing is answered before it has ended."""

import logging
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from django.db import IntegrityError, connection, transaction
from django.utils.translation import gettext as _

from meets.models import Delivery, Device, ServerEpoch, Stream
from meets.pit.keys.access import Caller
from meets.pit.sync import tables
from meets.pit.sync.ground import Ground, lock_ground
from meets.pit.sync.having import Have, have_of
from meets.pit.sync.judging import Doubt, Source, doubt_about, entry_keys, is_added, pit_names, row_of
from meets.pit.sync.message import LARGEST, Batch, Sent, read_batch
from meets.pit.sync.named import entry_named, keys_of
from meets.pit.sync.tables import Crossed, Known, NewDelivery, NewLogRow, StreamRow, hexed
from meets.running.write_lock import one_writer

log = logging.getLogger(__name__)

STORED, DUPLICATE, NEEDS_REVIEW, QUARANTINED = "stored", "duplicate", "needs_review", "quarantined"
TRIES = 5


class NoSuchStream(Exception):
    """The batch names a phone that this meet does not know; its text is a sentence."""


@dataclass(frozen=True, slots=True)
class Result:
    """What became of one entry; `says` is a sentence for the official, '' where nothing is to be said."""

    id: str
    status: str
    says: str = ""


@dataclass(frozen=True, slots=True)
class Pushed:
    """The answer to a batch."""

    server_epoch: UUID
    results: tuple[Result, ...]
    have: Have


@dataclass(slots=True)
class _Receiving:
    """What a batch will have done once it is stored."""

    stream: StreamRow
    now: datetime
    results: dict[int, Result] = field(default_factory=dict)
    deliveries: list[NewDelivery] = field(default_factory=list)
    rows: dict[int, list[NewLogRow]] = field(default_factory=lambda: defaultdict(list))
    taken_in: list[str] = field(default_factory=list)
    aside: list[Sent] = field(default_factory=list)


def push(*, batch: Batch, caller: Caller, now: datetime) -> Pushed:
    """Receive a batch: each entry is stored once, answered as the first time when it comes again, and never refused.

    Raises NoSuchStream; OperationalError when nothing can be stored, and then nothing is.
    """
    source = _source_of(batch, caller)
    for last in (*[False] * (TRIES - 1), True):
        try:
            with one_writer(), transaction.atomic(durable=True), connection.cursor() as cursor:
                return _receive(cursor, batch, source, caller.device.pk, now)
        except (Crossed, IntegrityError):
            # Another connection stored the same entry, or the first of the same stream, at the same moment.
            if last:
                raise


def _source_of(batch: Batch, caller: Caller) -> Source:
    key, late, revoked = caller.key, caller.late, False
    if batch.device != caller.device.pk:
        owner = Device.objects.select_related("key").filter(pk=batch.device, meet=caller.device.meet_id).first()
        if owner is None:
            raise NoSuchStream(_("These entries are from a phone that this meet does not know."))
        key, revoked = owner.key, owner.revoked_at is not None
    return Source(caller.device.meet_id, frozenset(key.roles), key.session_id, key.event_id, late, revoked)


def _receive(cursor, batch: Batch, source: Source, brought_by: UUID, now: datetime) -> Pushed:
    stream = _stream(cursor, batch, now)
    was_whole = stream.max_seq <= stream.upto
    receiving = _Receiving(stream, now)
    fresh = _sort_out(cursor, batch, receiving)
    _judge(cursor, fresh, source, receiving)
    if receiving.deliveries:
        tables.store_deliveries(cursor, stream.pk, receiving.deliveries, brought_by, now)
    for event_id, rows in receiving.rows.items():
        tables.append_log(cursor, event_id, _grounds_rev(receiving, event_id), rows)
    return _answer(cursor, batch, receiving, was_whole)
