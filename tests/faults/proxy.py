"""A bad network between phones and server: loses, delays, doubles, reorders, cuts, resets, and answers by itself."""

import asyncio
import random
import socket
import struct
import threading
from collections import Counter
from collections.abc import Callable

PASS = "pass"
FAULTS = (
    "drop", "reset", "delay", "answer lost", "twice", "held", "cut", "html", "redirect", "500", "503", "500 after",
    "503 after",
)  # fmt: skip
LONGEST_S = 10.0
MOST_BYTES = 256 * 1024
PORTAL = b"<!doctype html><title>Wifi</title><p>Please log in</p>"
RESET_AT_CLOSE = struct.pack("ii", 1, 0)


class Proxy:
    """Between 127.0.0.1 and a port of it. A request meets a fault with probability `share`, drawn from `seed`."""

    def __init__(self, target: int, seed: int, share: float, faults: tuple[str, ...] = FAULTS) -> None:
        self.target, self.share, self.faults, self.rng = target, share, faults, random.Random(seed)
        self.met: Counter[str] = Counter()
        self.port = 0
        self._loop = asyncio.new_event_loop()
        self._later: set[asyncio.Task] = set()
        self._ready = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> "Proxy":
        self._thread.start()
        assert self._ready.wait(10)
        return self

    def __exit__(self, *about: object) -> None:
        self._loop.call_soon_threadsafe(self._end.set)
        self._thread.join(2 * LONGEST_S)

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self._loop.run_until_complete(self._serve())
        self._loop.close()

    async def _serve(self) -> None:
        self._end = asyncio.Event()
        server = await asyncio.start_server(self._guarded, "127.0.0.1", 0)
        self.port = server.sockets[0].getsockname()[1]
        self._ready.set()
        await self._end.wait()
        server.close()
        if self._later:
            await asyncio.wait(self._later, timeout=LONGEST_S)
        others = [task for task in asyncio.all_tasks() if task is not asyncio.current_task()]
        for task in others:
            task.cancel()
        await asyncio.gather(*others, return_exceptions=True)

    async def _guarded(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            await asyncio.wait_for(self._one(reader, writer), LONGEST_S)
        except (OSError, asyncio.IncompleteReadError, asyncio.LimitOverrunError, TimeoutError):
            pass
        finally:
            writer.close()

    async def _one(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        request = await _message(reader)
        fault = self.rng.choice(self.faults) if self.rng.random() < self.share else PASS
        self.met[fault] += 1
        answer = await self._answer(fault, request)
        if fault == "reset":
            writer.get_extra_info("socket").setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, RESET_AT_CLOSE)
        if answer:
            writer.write(answer)
            await writer.drain()

    async def _answer(self, fault: str, request: bytes) -> bytes:
        by_itself: dict[str, Callable[[], bytes]] = {
            "drop": bytes,
            "reset": bytes,
            "html": lambda: _plain(200, PORTAL),
            "redirect": lambda: _plain(302, b"", "Location: http://127.0.0.1:9/login\r\n"),
            "500": lambda: _plain(500, PORTAL),
            "503": lambda: _plain(503, b""),
        }
        if fault in by_itself:
            return by_itself[fault]()
        if fault == "held":
            self._later_on(request, self.rng.uniform(0.1, 2.0))
            return b""
        if fault == "delay":
            await asyncio.sleep(self.rng.uniform(0.05, 0.6))
        answer = await self._delivered(request)
        if fault == "twice":
            await self._delivered(request)
        if fault == "cut":
            return answer[: self.rng.randrange(len(answer))] if answer else b""
        after = {"answer lost": b"", "500 after": _plain(500, PORTAL), "503 after": _plain(503, b"")}
        return after.get(fault, answer)

    def _later_on(self, request: bytes, delay_s: float) -> None:
        """It comes after what was sent later."""

        async def deliver() -> None:
            await asyncio.sleep(delay_s)
            await self._delivered(request)

        task = asyncio.get_running_loop().create_task(deliver())
        self._later.add(task)
        task.add_done_callback(self._later.discard)

    async def _delivered(self, request: bytes) -> bytes:
        try:
            reader, writer = await asyncio.open_connection("127.0.0.1", self.target)
        except OSError:
            return b""
        try:
            writer.write(request)
            await writer.drain()
            return await asyncio.wait_for(reader.read(-1), LONGEST_S)  # to the end: it closes after one answer
        except (OSError, TimeoutError):
            return b""
        finally:
            writer.close()


async def _message(reader: asyncio.StreamReader) -> bytes:
    """A whole request, as phones of ours send it: with its length, one on a connection."""
    head = await reader.readuntil(b"\r\n\r\n")
    length = int(head.lower().partition(b"content-length: ")[2].partition(b"\r")[0] or 0)
    return head + await reader.readexactly(min(length, MOST_BYTES))


def _plain(status: int, body: bytes, more: str = "") -> bytes:
    head = f"HTTP/1.1 {status} X\r\nContent-Type: text/html\r\n{more}Content-Length: {len(body)}\r\n\r\n"
    return head.encode() + body
