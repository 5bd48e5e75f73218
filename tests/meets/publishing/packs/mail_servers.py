"""A mail server of a test's own that does what real ones do on bad days, and knows which letters it has taken."""

import asyncio
import socket
import struct
import threading
from email import message_from_bytes

from aiosmtpd.controller import Controller

from tests.bench.serving import free_port


class TakesLetters:
    """Takes every letter but what `days` says of its recipient; `taken` is what it has really accepted.

    `refuse 4xx`, `refuse 5xx`: the recipient. `refuse letter 4xx`, `5xx`: after the data. `hang at recipient`,
    `hang after data`: no answer, the letter not taken; `taken, no answer`: taken, and no answer. `drop at recipient`,
    `drop in data`, `drop after data`: the connection is cut, the letter not taken; `taken, dropped`: taken, then cut.
    `nonsense`: taken, and an answer that is none.
    """

    REFUSALS = {
        "refuse 4xx": "450 4.2.1 Mailbox busy, try later",
        "refuse 5xx": "550 5.1.1 No such mailbox",
        "refuse letter 4xx": "451 4.3.0 Try later",
        "refuse letter 5xx": "554 5.7.1 Not wanted:",
    }

    def __init__(self):
        self.days = {}
        self.taken = []
        self.bodies = {}
        self.let_go = None

    async def handle_RCPT(self, server, session, envelope, address, options):
        day = self.days.get(address, "")
        if day == "hang at recipient":
            await self._hang(server)
        if day == "drop at recipient":
            server.transport.abort()
        if day.startswith("refuse ") and "letter" not in day:
            return self.REFUSALS[day]
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):
        [address] = envelope.rcpt_tos
        day = self.days.get(address, "")
        if day in ("", "taken, no answer", "taken, dropped", "nonsense"):
            self.taken.append(address)
            self.bodies[address] = message_from_bytes(envelope.content)
        if day in ("hang after data", "taken, no answer"):
            await self._hang(server)
        if day in ("drop after data", "taken, dropped"):
            server.transport.abort()
        if day.startswith("refuse letter"):
            # Some servers quote what they do not want.
            quoted = envelope.content.decode("ascii", "replace").split()[-1][:40]
            return f"{self.REFUSALS[day]} {quoted}"
        return "nonsense" if day == "nonsense" else "250 OK"

    async def _hang(self, server):
        """Until the client goes away."""
        while not server.transport.is_closing():
            await asyncio.sleep(0.02)


class MailServer:
    """It runs while the test does; `port` is where."""

    def __init__(self):
        self.letters = TakesLetters()
        self.port = free_port()
        self.controller = Controller(self.letters, hostname="127.0.0.1", port=self.port, ready_timeout=10)

    def __enter__(self):
        self.controller.start()
        return self

    def __exit__(self, *_problem):
        self.controller.stop()


class CutsInTheData:
    """Speaks as a mail server until data is to come, takes a little of it and cuts the connection."""

    def __enter__(self):
        self.socket = socket.create_server(("127.0.0.1", 0))
        self.socket.settimeout(0.1)
        self.port = self.socket.getsockname()[1]
        self.over = threading.Event()
        self.thread = threading.Thread(target=self._serve, daemon=True)
        self.thread.start()
        return self

    def __exit__(self, *_problem):
        self.over.set()
        self.thread.join(5)
        self.socket.close()

    def _serve(self):
        while not self.over.is_set():
            try:
                connection, _who = self.socket.accept()
            except TimeoutError:
                continue
            with connection:
                # So small a window that the end of the data cannot be on its way yet.
                connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1024)
                self._talk(connection)

    def _talk(self, connection):
        connection.sendall(b"220 ready\r\n")
        with connection.makefile("rb") as lines:
            for line in lines:
                if line.startswith(b"DATA"):
                    connection.sendall(b"354 go on\r\n")
                    connection.recv(100)
                    # Reset, not closed in good order.
                    connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
                    return
                connection.sendall(b"250 OK\r\n")
