"""How gunicorn serves a meet from a laptop; the command adds addresses and certificates.

SQLite has one writer, so more processes win nothing; two, so that the meet goes on while one begins anew. A phone that
walks out of range in the middle of a request keeps a thread until its connection is given up: hence many threads,
and connections that are asked for a sign of life.
"""

import os
import signal
import socket
import threading
import time

wsgi_app = "meets.wsgi:application"
workers, threads, worker_class = 2, 24, "gthread"
timeout, graceful_timeout, keepalive = 60, 5, 20
loglevel, accesslog = "warning", None
control_socket_disable = True
ALIVE_S = {"TCP_KEEPIDLE": 10, "TCP_KEEPINTVL": 5, "TCP_KEEPCNT": 3}
UNANSWERED_MS = 20_000


def when_ready(server) -> None:
    """Connections inherit what is set on the socket that listens (Linux, macOS)."""
    for listener in server.LISTENERS:
        listener.sock.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
        for name, value in {**ALIVE_S, "TCP_USER_TIMEOUT": UNANSWERED_MS}.items():
            if hasattr(socket, name):
                listener.sock.setsockopt(socket.IPPROTO_TCP, getattr(socket, name), value)
    threading.Thread(target=_end_with, args=(os.getppid(),), daemon=True).start()


def _end_with(parent: int) -> None:
    """A server whose command was killed would hold the port, with nobody to say so."""
    while os.getppid() == parent:
        time.sleep(1)
    os.kill(os.getpid(), signal.SIGTERM)
