"""What of a stream has come: all up to a number, and what is missing behind it."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from meets.models import Delivery, SetAside, Stream


@dataclass(frozen=True, slots=True)
class Have:
    """Every number up to `upto` has come; `holes` (first, last) are missing behind it, up to the highest given."""

    upto: int
    holes: tuple[tuple[int, int], ...] = ()

    @property
    def whole(self) -> bool:
        return not self.holes


def have_from(upto: int, above: Iterable[int], max_seq: int) -> Have:
    """From what is known to be whole, and the numbers above it that came.

    >>> have_from(3, [4, 6, 7], 9)
    Have(upto=4, holes=((5, 5), (8, 9)))
    """
    came = sorted(seq for seq in above if seq > upto)
    holes = []
    for seq in came:
        if seq > upto + 1:
            break
        upto = seq
    expected = upto + 1
    for seq in [*(seq for seq in came if seq > upto), max(max_seq, upto) + 1]:
        if seq > expected:
            holes.append((expected, seq - 1))
        expected = max(expected, seq + 1)
    return Have(upto, tuple(holes))


def have_of(stream: Stream) -> Have:
    """Counted from what is stored, whatever was noted with the stream."""
    came = {*Delivery.objects.filter(stream=stream).values_list("seq", flat=True)}
    return have_from(0, came | set_aside_seqs(stream.device_id, stream.epoch), stream.max_seq)


def set_aside_seqs(device: UUID, epoch: UUID) -> set[int]:
    """Numbers of a stream that came and were set aside: they are no gap."""
    found = set()
    for body in SetAside.objects.filter(device=device).values_list("body", flat=True):
        said = json.loads(body)
        if said.get("epoch") == str(epoch) and said.get("device") == str(device) and type(said.get("seq")) is int:
            found.add(said["seq"])
    return found
