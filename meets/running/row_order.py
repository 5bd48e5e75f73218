"""The order of a log's rows: as they arrived, but what one phone wrote stays in the order in which it was written.

A phone numbers what it writes. Where an entry comes after later ones of its phone (brought as a file, taken in by the
desk, met by a lost answer), it stands before them: away and back stay away and back.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from uuid import UUID

from meets.models import Delivery, LogRow

Place = tuple[int, int]
"""The stream of a phone, and the number in it."""


def written_order(rows: Sequence[LogRow], places: Mapping[UUID, Place]) -> list[LogRow]:
    """Rows in the order of arrival, each entry that came late before the later ones of its stream."""
    ordered: list[LogRow] = []
    highest: dict[int, int] = {}
    for row in rows:
        stream, seq = places.get(row.pk, (0, 0))
        if stream and seq < highest.get(stream, 0):
            later = (at for at, known in enumerate(ordered) if _after(places.get(known.pk), stream, seq))
            ordered.insert(next(later), row)
            continue
        if stream:
            highest[stream] = seq
        ordered.append(row)
    return ordered


def _after(place: Place | None, stream: int, seq: int) -> bool:
    return place is not None and place[0] == stream and place[1] > seq


def places_of(event_ids: Iterable[int]) -> dict[int, dict[UUID, Place]]:
    """Event id -> row id -> where a phone wrote it, for the rows that came from phones."""
    found: dict[int, dict[UUID, Place]] = defaultdict(dict)
    delivered = Delivery.objects.filter(event__in=event_ids, status=Delivery.Status.STORED).order_by()
    for event_id, pk, stream, seq in delivered.values_list("event_id", "pk", "stream_id", "seq"):
        found[event_id][pk] = (stream, seq)
    return found
