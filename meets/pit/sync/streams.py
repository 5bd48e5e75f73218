"""The stream that a batch or a contact is about."""

from datetime import datetime
from uuid import UUID

from meets.models import ServerEpoch
from meets.pit.sync import tables
from meets.pit.sync.tables import Crossed, StreamRow


def locked_stream(cursor, device: UUID, epoch: UUID, now: datetime) -> StreamRow:
    """The stream, begun if it is new, with nobody else storing in it until the transaction ends."""
    stream = tables.lock_stream(cursor, device, epoch)
    if stream is None:
        tables.begin_stream(cursor, device, epoch, now)
        stream = tables.lock_stream(cursor, device, epoch)
    if stream is None:
        raise Crossed
    if stream.server_epoch is None:
        stream.server_epoch = ServerEpoch.objects.create(begun_at=now).epoch
    return stream
