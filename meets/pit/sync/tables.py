"""The few statements that receiving is made of, in plain SQL: an object for each row costs more than the disk does.

Each takes a cursor inside a transaction. Ids are handed over as 32 hexadecimal digits, which both databases take.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import connection

from meets.models import Delivery
from meets.pit.sync.planned import Statement, calls_of

_JSON = json.JSONEncoder()
BETWEEN = "\x1e"
# What the driver calls a connection outside a transaction; only where there is PostgreSQL is it imported.
IDLE = 0


class Crossed(Exception):
    """Somebody else has stored the same at the same moment: begin again and look."""


@dataclass(slots=True)
class StreamRow:
    """A stream as stored, locked; `server_epoch` comes along."""

    pk: int
    max_seq: int
    upto: int
    server_epoch: UUID | None


@dataclass(frozen=True, slots=True)
class Known:
    """What is stored under an id or a number: a delivery, or a row of a log that no phone sent (`stream` None)."""

    id: str
    stream: int | None
    seq: int
    hash: str
    status: str
    problem: str


@dataclass(frozen=True, slots=True)
class NewDelivery:
    id: str
    seq: int
    event_id: int | None
    body: str
    hash: str
    status: str
    problem: str = ""


@dataclass(frozen=True, slots=True)
class NewLogRow:
    """A row for the log, its place not given yet. `values` in plain form."""

    id: str
    kind: str
    values: dict[str, object]
    supersedes: Sequence[str]
    recorder: str
    by: str
    reason: str
    at: datetime


def hexed(value: object) -> str:
    """An id as the statements take it, from a UUID or its text."""
    return value.hex if isinstance(value, UUID) else str(value).replace("-", "")


def dashed(value: object) -> str:
    """An id as everybody else writes it, from what a statement gave."""
    return str(value if isinstance(value, UUID) else UUID(str(value)))


def read_json(value: object) -> object:
    """A JSON column, which one driver gives as text and the other may have read already."""
    return json.loads(value) if isinstance(value, str | bytes) else value


def _time(at: datetime) -> object:
    return connection.ops.adapt_datetimefield_value(at)


def locks(table: str) -> str:
    """SQLite has one writer anyway."""
    return f" FOR UPDATE OF {table}" if connection.vendor == "postgresql" else ""


def listed(values: str) -> str:
    """All values of a column in one text."""
    return (
        f"string_agg(({values})::text, '{BETWEEN}')"
        if connection.vendor == "postgresql"
        else (f"group_concat({values}, '{BETWEEN}')")
    )


def marks(values: Sequence[object]) -> str:
    return ", ".join(["%s"] * len(values))


def run(cursor, statements: Sequence[Statement]) -> int:
    """Run statements one after the other, in one message where there is a network between; rows of the first."""
    if connection.vendor == "postgresql":
        _in_one_message(cursor, statements)
        return cursor.rowcount
    counted = [cursor.execute(one.sql, one.values).rowcount for one in statements]
    return counted[0]


def look(cursor, statements: Sequence[Statement]) -> list[list[tuple]]:
    """What several statements find, asked in one message where there is a network between; each sees what is there."""
    if connection.vendor == "postgresql":
        _in_one_message(cursor, statements)
        return _all_found(cursor)
    return [cursor.execute(one.sql, one.values).fetchall() for one in statements]


def begin_and_look(cursor, statements: Sequence[Statement]) -> list[list[tuple]]:
    """`look` as the first thing of a transaction, which begins with the same message."""
    if connection.vendor != "postgresql" or connection.connection.pgconn.transaction_status != IDLE:
        return look(cursor, statements)
    # Else the driver sends a message of its own that begins it. It ends as every transaction does.
    connection.connection.autocommit = True
    _in_one_message(cursor, statements, "BEGIN; ")
    cursor.nextset()
    return _all_found(cursor)


def _in_one_message(cursor, statements: Sequence[Statement], first: str = "") -> None:
    said = first + "; ".join(calls_of(cursor, statements))
    cursor.execute(said, [value for one in statements for value in one.values])


def _all_found(cursor) -> list[list[tuple]]:
    found = [cursor.fetchall()]
    while cursor.nextset():
        found.append(cursor.fetchall())
    return found


def stream_asked(device: UUID, epoch: UUID) -> Statement:
    sql = (
        "SELECT s.id, s.max_seq, s.upto, (SELECT epoch FROM meets_serverepoch ORDER BY begun_at DESC LIMIT 1)"
        " FROM meets_stream s WHERE s.device_id = %s AND s.epoch = %s" + locks("s")
    )
    return Statement(sql, [device.hex, epoch.hex], "stream_locked")


def stream_found(found: list[tuple]) -> StreamRow | None:
    return StreamRow(*found[0][:3], UUID(hexed(found[0][3])) if found[0][3] else None) if found else None


def begin_stream(cursor, device: UUID, epoch: UUID, now: datetime) -> None:
    cursor.execute(
        "INSERT INTO meets_stream (device_id, epoch, max_seq, upto, begun_at) VALUES (%s, %s, 0, 0, %s)"
        " ON CONFLICT DO NOTHING",
        [device.hex, epoch.hex, _time(now)],
    )


def known_asked(device: UUID, epoch: UUID, ids: Sequence[str], seqs: Sequence[int]) -> Statement:
    """Everything stored under these ids, or under these numbers of the stream; asked behind the lock of it."""
    hexes, seqs = [hexed(one) for one in ids] or [None], seqs or [None]
    columns = "SELECT id, stream_id, seq, hash, status, problem FROM meets_delivery WHERE"
    stream = "(SELECT id FROM meets_stream WHERE device_id = %s AND epoch = %s)"
    sql = (
        f"{columns} id IN ({marks(hexes)}) UNION ALL {columns} stream_id = {stream} AND seq IN ({marks(seqs)})"
        f" UNION ALL SELECT id, NULL, 0, '', '', '' FROM meets_logrow WHERE id IN ({marks(hexes)})"
    )
    values = [*hexes, device.hex, epoch.hex, *seqs, *hexes]
    return Statement(sql, values, "one_known" if len(hexes) == 1 else "")


def known_found(found: list[tuple]) -> list[Known]:
    rows = [Known(dashed(row[0]), *row[1:]) for row in found]
    delivered = {row.id for row in rows if row.stream is not None}
    return [row for row in rows if row.stream is not None or row.id not in delivered]


def deliveries_stored(stream: int, rows: Sequence[NewDelivery], brought_by: UUID, now: datetime) -> Statement:
    """Stores those that are not there; the number of rows tells whether somebody else was quicker."""
    values: list[object] = []
    at = _time(now)
    for row in rows:
        values += [hexed(row.id), stream, row.seq, row.event_id, row.body, row.hash, row.status, row.problem[:200]]
        values += [brought_by.hex, at]
    sql = (
        "INSERT INTO meets_delivery (id, stream_id, seq, event_id, body, hash, status, problem, brought_by_id, at,"
        " settled_by) VALUES " + ", ".join(["(%s, %s, %s, %s, %s, %s, %s, %s, %s, %s, '')"] * len(rows))
        + " ON CONFLICT DO NOTHING"
    )  # fmt: skip
    return Statement(sql, values, "delivery_stored" if len(rows) == 1 else "")


def log_appended(event_id: int, last_rev: int, rows: Sequence[NewLogRow]) -> Statement:
    """Puts rows behind the last one of an event that is locked."""
    values: list[object] = []
    for rev, row in enumerate(rows, last_rev + 1):
        values += [hexed(row.id), event_id, rev, row.kind, _JSON.encode(row.values), _JSON.encode(row.supersedes)]
        values += [row.recorder[:30], row.by[:80], row.reason[:200], _time(row.at)]
    sql = (
        'INSERT INTO meets_logrow (id, event_id, rev, kind, "values", supersedes, recorder, "by", reason, at) VALUES '
        + ", ".join(["(%s, %s, %s, %s, %s, %s, %s, %s, %s, %s)"] * len(rows))
    )
    return Statement(sql, values, "row_appended" if len(rows) == 1 else "")


def set_aside(cursor, device: UUID, text: str, hash: str, clashes_with: str, now: datetime) -> None:
    """Keep an entry that cannot be filed; once, however often it comes."""
    cursor.execute(
        "INSERT INTO meets_setaside (device_id, body, hash, clashes_with, at, settled_by)"
        " VALUES (%s, %s, %s, %s, %s, '') ON CONFLICT DO NOTHING",
        [device.hex, text, hash, clashes_with, _time(now)],
    )


def stream_kept(stream: StreamRow) -> Statement:
    sql = "UPDATE meets_stream SET max_seq = %s, upto = %s WHERE id = %s"
    return Statement(sql, [stream.max_seq, stream.upto, stream.pk], "stream_kept")


def seqs_above(cursor, stream: int, seq: int) -> list[int]:
    """Numbers of a stream that came, above one."""
    cursor.execute("SELECT seq FROM meets_delivery WHERE stream_id = %s AND seq > %s ORDER BY seq", [stream, seq])
    return [found for (found,) in cursor.fetchall()]


def deliveries_settled(ids: Iterable[str]) -> Statement:
    """Deliveries that waited are in the log now."""
    hexes = [hexed(one) for one in ids]
    sql = f"UPDATE meets_delivery SET status = %s, problem = '' WHERE id IN ({marks(hexes)})"
    return Statement(sql, [Delivery.Status.STORED.value, *hexes])
