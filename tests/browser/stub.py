"""A small server for phones in tests: keeps what comes in a dict, and can fail in every way that a field knows.

Pages and scripts come from the product itself; only what stands under /sync/ is made here.
"""

import json
import socketserver
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from urllib.parse import parse_qs
from wsgiref.simple_server import ServerHandler, WSGIRequestHandler, WSGIServer, make_server

from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.core.wsgi import get_wsgi_application

from meets.pit.phone.shell.files import version

KEY = "a-key-of-the-tests-0001"
TOKEN = "let-in"
NOW_MS = 1_778_000_000_000
JSON, HTML, PROBLEM = "application/json", "text/html", "application/problem+json"
NEWER = "f" * 12
CUT = "cut"
"""Instead of an answer: the connection ends."""

Answer = tuple[int, object, str]


def problem(status: int, detail: str = "so it is") -> Answer:
    return status, {"type": "about:blank", "title": detail, "status": status, "detail": detail}, PROBLEM


@dataclass
class Stub:
    entries: dict[str, dict] = field(default_factory=dict)
    server_epoch: str = field(default_factory=lambda: str(uuid.uuid4()))
    pushes: list[dict] = field(default_factory=list)
    contacts: list[dict] = field(default_factory=list)
    clocks: list[dict] = field(default_factory=list)
    doubled: int = 0
    joined: int = 0
    tokens: set[str] = field(default_factory=lambda: {TOKEN})
    roles: tuple[str, ...] = ("recorder",)
    now_ms: int | None = None
    over: bool = False
    version: str = "1"
    # What the state says besides; whoever changes it gives another version as well.
    shown: dict = field(default_factory=dict)
    down: bool = False
    round_trip_s: float = 0.0
    newer: bool = False  # pages and scripts name another version than they have
    ledger: list[str] = field(default_factory=list)  # what the page said it had seen, in tests that kill it
    # What goes out instead of an answer to a push, before it is taken in or after; None: nothing instead.
    before: Callable[[dict], Answer | str | None] = lambda said: None
    after: Callable[[dict], Answer | str | None] = lambda said: None
    lock: threading.Lock = field(default_factory=threading.Lock)

    def seqs(self, epoch: str) -> list[int]:
        return sorted(entry["seq"] for entry in self.entries.values() if entry["epoch"] == epoch)

    def have(self, epoch: str) -> dict:
        upto, last, holes = 0, 0, []
        for seq in self.seqs(epoch):
            if seq == upto + 1:
                upto = seq
            elif seq > last + 1:
                holes.append([last + 1, seq - 1])
            last = seq
        return {"upto": upto, "holes": holes}

    def answer(self, method: str, path: str, query: dict, said: dict, token: str) -> Answer | str:
        if path == "ledger":
            self.ledger.append(said["id"])
            return 200, {}, JSON
        time.sleep(self.round_trip_s)
        if self.down:
            return CUT
        with self.lock:
            if path == "join":
                return self.join(said)
            if token not in self.tokens:
                return problem(401)
            if path == "push":
                return self.push(said)
            if path == "contact":
                self.contacts.append(said)
                return 200, {**self.life(said["epoch"]), "versions": {"7": self.version}}, JSON
            if path == "clock/7":
                self.clocks.append(said)
                return 204, "", JSON
            if path == "state/7":
                return 200, self.state(query["role"][0]), JSON
            return problem(404)

    def life(self, epoch: str) -> dict:
        return {"server_epoch": self.server_epoch, "now": self.now_ms or NOW_MS, "have": self.have(epoch)}

    def join(self, said: dict) -> Answer:
        if said["key"] != KEY:
            return problem(404)
        self.joined += 1
        joined = {
            "device": str(uuid.UUID(int=self.joined)),
            "number": self.joined,
            "token": next(iter(self.tokens)),
            "official": said["official"],
            "meet": {"id": 1, "name": "Amblecote Meet", "time_zone": "Europe/London"},
            "roles": list(self.roles),
            "sessions": [{"id": 7, "name": "Long jump girls", "pit": "Pit 1"}],
            "server_epoch": self.server_epoch,
            "now": self.now_ms or NOW_MS,
        }
        return 201, joined, JSON

    def push(self, said: dict) -> Answer | str:
        self.pushes.append(said)
        if instead := self.before(said):
            return instead
        for entry in said["entries"]:
            self.doubled += entry["id"] in self.entries
            assert self.entries.setdefault(entry["id"], entry) == entry
        if instead := self.after(said):
            return instead
        results = [{"id": entry["id"], "status": "stored"} for entry in said["entries"]]
        return 200, {**self.life(said["epoch"]), "results": results}, JSON

    def state(self, role: str) -> dict:
        event = {"id": 3, "name": "Girls long jump", "over": self.over, "closed": self.over}
        return {
            "v": 1,
            "version": self.version,
            "server_epoch": self.server_epoch,
            "now": self.now_ms or NOW_MS,
            "role": role,
            "included": {},
            "meet": {"id": 1, "name": "Amblecote Meet"},
            "session": {"id": 7, "name": "Long jump girls", "pit": "Pit 1"},
            "unit": "cm",
            "digits": 3,
            "events": [event],
            "people": {},
            "queue": [],
            "series": {},
            **self.shown,
        }

    def __call__(self, environ: dict, start: Callable) -> list[bytes]:
        length = int(environ.get("CONTENT_LENGTH") or 0)
        body = environ["wsgi.input"].read(length)
        path = environ["PATH_INFO"].removeprefix("/sync/v1/")
        token = environ.get("HTTP_AUTHORIZATION", "").removeprefix("Bearer ")
        query = parse_qs(environ.get("QUERY_STRING", ""))
        answer = self.answer(environ["REQUEST_METHOD"], path, query, json.loads(body) if body else {}, token)
        if answer == CUT:
            raise ConnectionAbortedError
        status, said, kind = answer
        start(f"{status} So", [("Content-Type", kind)])
        return [said.encode() if isinstance(said, str) else json.dumps(said).encode()]


class _Server(socketserver.ThreadingMixIn, WSGIServer):
    daemon_threads = True
    request_queue_size = 64

    def handle_error(self, request, client_address):
        pass


class _Cutting(ServerHandler):
    def handle_error(self):
        raise ConnectionAbortedError  # the connection is closed without a word


class _Handler(WSGIRequestHandler):
    def log_message(self, *args):
        pass

    def handle(self):
        self.raw_requestline = self.rfile.readline(65537)
        if self.raw_requestline and self.parse_request():
            handler = _Cutting(self.rfile, self.wfile, self.get_stderr(), self.get_environ(), multithread=True)
            handler.request_handler = self
            handler.run(self.server.get_app())


@contextmanager
def served(stub: Stub) -> Iterator[str]:
    """The product's pages with the stub under /sync/; gives the address."""
    pages = StaticFilesHandler(get_wsgi_application())

    def both(environ, start):
        if environ["PATH_INFO"].startswith("/sync/"):
            return stub(environ, start)
        if not stub.newer or not environ["PATH_INFO"].startswith("/pit/"):
            return pages(environ, start)
        environ.pop("HTTP_ACCEPT_ENCODING", None)  # In a packed answer the version would not be found.
        return [b"".join(pages(environ, start)).replace(version().encode(), NEWER.encode())]

    with make_server("127.0.0.1", 0, both, server_class=_Server, handler_class=_Handler) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()
        thread.join()
