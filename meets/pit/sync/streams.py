"""The stream that a batch or a contact is about."""

from datetime import datetime
from uuid import UUID

from meets.models import ServerEpoch
from meets.pit.sync import tables
from meets.pit.sync.tables import StreamRow


class NotBegun(Exception):
    """The stream is new: it is begun before anything else is locked, so that two of them never wait in a ring."""


def locked_stream(cursor, device: UUID, epoch: UUID, now: datetime) -> StreamRow:
    """The stream, begun if it is new, with nobody else storing in it until the transaction ends."""
    asked = tables.stream_asked(device, epoch)
    try:
        return stream_of(*tables.look(cursor, [asked]), now)
    except NotBegun:
        tables.begin_stream(cursor, device, epoch, now)
        return stream_of(*tables.look(cursor, [asked]), now)


def stream_of(found: list[tuple], now: datetime) -> StreamRow:
    """The stream that was found. Raises NotBegun."""
    stream = tables.stream_found(found)
    if stream is None:
        raise NotBegun
    if stream.server_epoch is None:
        stream.server_epoch = ServerEpoch.objects.create(begun_at=now).epoch
    return stream
