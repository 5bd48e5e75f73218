"""Pages kept in memory: built once for a version in each process, with the packed form that goes over the air."""

import gzip
from collections import OrderedDict
from collections.abc import Callable, Hashable
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from threading import Lock

MOST_BYTES = 32 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Kept:
    """A page at one version. The tag is that of its bytes: it holds over processes, servers and new releases."""

    version: str
    tag: str
    body: bytes
    packed: bytes

    @property
    def size(self) -> int:
        return len(self.body) + len(self.packed)


class Shelf:
    """The pages that were asked for lately, up to a number of bytes; what was not asked for longest goes first."""

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self.most_bytes, self.bytes = most_bytes, 0
        self._kept: OrderedDict[Hashable, Kept] = OrderedDict()
        self._changing, self._building = Lock(), Lock()

    def page(self, key: Hashable, version: str, build: Callable[[], str]) -> Kept:
        """The page at this version; built if it is not kept. While somebody builds, others get the one before."""
        kept = self._found(key)
        if kept is not None and kept.version == version:
            return kept
        if not self._building.acquire(blocking=kept is None):
            return kept
        try:
            kept = self._kept.get(key)
            if kept is None or kept.version != version:
                kept = _made(version, build())
                self._keep(key, kept)
            return kept
        finally:
            self._building.release()

    def forget(self) -> None:
        with self._changing:
            self._kept.clear()
            self.bytes = 0

    def __len__(self) -> int:
        return len(self._kept)

    def _found(self, key: Hashable) -> Kept | None:
        kept = self._kept.get(key)
        if kept is not None:
            # Without the lock: thousands ask, and it may only have gone in the meantime.
            with suppress(KeyError):
                self._kept.move_to_end(key)
        return kept

    def _keep(self, key: Hashable, kept: Kept) -> None:
        with self._changing:
            before = self._kept.pop(key, None)
            self._kept[key] = kept
            self.bytes += kept.size - (before.size if before else 0)
            while self.bytes > self.most_bytes and len(self._kept) > 1:
                _key, gone = self._kept.popitem(last=False)
                self.bytes -= gone.size


def _made(version: str, page: str) -> Kept:
    body = page.encode()
    tag = f'W/"{sha256(body).hexdigest()[:24]}"'
    # No time of day in the packed form, so that it is the same in every process.
    return Kept(version, tag, body, gzip.compress(body, 9, mtime=0))


shelf = Shelf()
