"""Parents with a page of the live board open: each asks again and again whether something is new. Run as a program.

Arguments: port, path, how many, seconds between two looks of one, seconds in all. Says in JSON what they were told.
"""

import asyncio
import json
import random
import sys
import time
from collections import Counter

TIMEOUT_S = 10


async def look(port: int, path: str, known: str) -> tuple[str, str]:
    """One look: the status, and the version that is known after it."""
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    try:
        asks = f"If-None-Match: {known}\r\n" if known else ""
        head = f"GET {path} HTTP/1.1\r\nHost: localhost\r\nAccept-Encoding: gzip\r\n{asks}Connection: close\r\n\r\n"
        writer.write(head.encode())
        answer = await reader.read(-1)
    finally:
        writer.close()
    lines = answer.partition(b"\r\n\r\n")[0].decode("latin-1").split("\r\n")
    named = {name.lower(): value for name, _colon, value in (line.partition(": ") for line in lines[1:])}
    return lines[0].split(" ")[1], named.get("etag", known)


async def looker(port: int, path: str, every_s: float, until: float, told: Counter, took: list[float]) -> None:
    known = ""
    await asyncio.sleep(random.uniform(0, every_s))
    while time.monotonic() < until:
        began = time.monotonic()
        try:
            status, known = await asyncio.wait_for(look(port, path, known), TIMEOUT_S)
        except (OSError, TimeoutError, IndexError):
            status = "none"
        told[status] += 1
        took.append(time.monotonic() - began)
        await asyncio.sleep(max(0.0, every_s - (time.monotonic() - began)))


async def all_look(port: int, path: str, many: int, every_s: float, seconds: float) -> dict:
    told: Counter[str] = Counter()
    took: list[float] = []
    until = time.monotonic() + seconds
    await asyncio.gather(*(looker(port, path, every_s, until, told, took) for _ in range(many)))
    took.sort()
    return {"told": dict(told), "p99_ms": round(1000 * took[int(len(took) * 0.99)], 1)}


if __name__ == "__main__":
    port, path, many, every_s, seconds = sys.argv[1:]
    figures = asyncio.run(all_look(int(port), path, int(many), float(every_s), float(seconds)))
    sys.stdout.write(json.dumps(figures))
