"""A small page by plain HTTP, where phones get the certificate that makes them trust this laptop."""

import base64
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread

from django.template.loader import render_to_string
from django.utils.safestring import mark_safe

from athletes.paper.qr import qr_path
from meets.field.certificates import Kept

CERTIFICATE = "/nearest-break.crt"
REQUEST_S = 10
STYLE = """
body { margin: 0; background: #fffdf8; color: #1d2430; font: 18px/1.5 Roboto, system-ui, sans-serif; }
header { border-top: 12px solid #8c3b2a; background: #f1e3c4; padding: 12px 16px; font-weight: 700; }
main { padding: 8px 16px 32px; max-width: 42rem; margin: auto; overflow-wrap: anywhere; }
h1 { font-size: 28px; line-height: 1.2; margin: 16px 0; } h2 { font-size: 22px; margin: 32px 0 8px; }
li { margin: 8px 0; } ol { padding-left: 1.4em; } a { color: #1f5673; }
a.button { display: block; background: #8c3b2a; color: #fffdf8; padding: 14px 16px; text-align: center;
  font-weight: 700; text-decoration: none; min-height: 28px; }
a:focus-visible, summary:focus-visible { outline: 3px solid #1f5673; outline-offset: 3px; }
summary { font-size: 22px; font-weight: 700; padding: 12px 0; min-height: 28px; cursor: pointer; }
details { border-top: 1px solid #1d2430; } details:last-of-type { border-bottom: 1px solid #1d2430; }
code { font: 16px/1.6 ui-monospace, monospace; display: block; } figure { margin: 16px 0; }
svg { width: 240px; height: 240px; background: #fff; } .note { border-left: 6px solid #8c3b2a; padding-left: 12px; }
"""
POLICY = (
    "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; style-src "
    f"'sha256-{base64.b64encode(sha256(STYLE.encode()).digest()).decode()}'"
)


@dataclass(frozen=True, slots=True)
class Page:
    """What the page says: its own address, and by HTTPS that of the page for phones."""

    here: str
    phones: str
    ends: datetime
    fingerprint: str

    def rendered(self) -> bytes:
        side, path = qr_path(self.here)
        pairs = self.fingerprint.split(":")
        context = {
            "page": self,
            "certificate": CERTIFICATE,
            "side": side,
            "path": path,
            "fingerprint": [" ".join(pairs[at : at + 8]) for at in range(0, len(pairs), 8)],
            "style": mark_safe(STYLE),
        }
        return render_to_string("field/trust.html", context).encode()


@contextmanager
def trust_pages(kept: Kept, addresses: list[str], port: int, here: str, phones: str) -> Iterator[None]:
    """Serve the page on each address while the block runs. Raises OSError where an address is taken."""
    page = Page(here, phones, kept.ends, kept.fingerprint).rendered()
    servers: list[ThreadingHTTPServer] = []
    try:
        for address in addresses:
            servers.append(_server(address, port, page, kept.authority_der))
        for server in servers:
            Thread(target=server.serve_forever, daemon=True).start()
        yield
    finally:
        for server in servers:
            server.shutdown()
            server.server_close()


def _server(address: str, port: int, page: bytes, certificate: bytes) -> ThreadingHTTPServer:
    answers = {
        "/": ("text/html; charset=utf-8", page),
        CERTIFICATE: ("application/x-x509-ca-cert", certificate),
    }

    class Answer(BaseHTTPRequestHandler):
        timeout = REQUEST_S
        server_version, sys_version = "NearestBreak", ""

        def do_GET(self) -> None:
            kind, body = answers.get(self.path.partition("?")[0], ("", b""))
            self.send_response(200 if kind else 302)
            if kind:
                self.send_header("Content-Type", kind)
            else:
                self.send_header("Location", "/")
            self.send_header("Content-Length", str(len(body)))
            self.send_header("Content-Security-Policy", POLICY)
            self.send_header("X-Content-Type-Options", "nosniff")
            self.send_header("Cache-Control", "no-store")
            self.end_headers()
            if self.command != "HEAD":
                self.wfile.write(body)

        do_HEAD = do_GET

        def log_message(self, *about: object) -> None:
            """Who looked is nobody's business."""

    server = ThreadingHTTPServer((address, port), Answer)
    server.daemon_threads = True
    return server
