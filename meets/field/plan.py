"""Where a meet is served, and with what: decided before anything is started."""

import os
import re
import socket
import sys
from dataclasses import dataclass
from pathlib import Path

from django.utils.translation import gettext as _

from meets.field.addresses import Address, addresses, host_names, is_local

PORT, PLAIN_PORT, TRUST_PORT = 8443, 8000, 8080
LOOPBACK = "127.0.0.1"
_HOST = re.compile(r"[a-z0-9]([a-z0-9.-]*[a-z0-9])?")


class NotServed(Exception):
    """Why the meet cannot be served like this; its text is a sentence."""


@dataclass(frozen=True, slots=True)
class Plan:
    """`host`: by which phones know the laptop. `binds`: addresses that are listened on. `found`: all that it has."""

    plain: bool
    host: str
    port: int
    trust_port: int
    binds: tuple[str, ...]
    names: tuple[str, ...]
    found: tuple[Address, ...]

    @property
    def meet(self) -> str:
        return f"{'http' if self.plain else 'https'}://{self.host}:{self.port}"

    @property
    def trust(self) -> str:
        return f"http://{self.host}:{self.trust_port}/"

    def environment(self) -> dict[str, str]:
        """What the server reads from its environment, on top of what is there."""
        hosts = dict.fromkeys([self.host, *self.binds, *self.names, "localhost"])
        return {
            "NEAREST_BREAK_HOSTS": ",".join(hosts),
            "NEAREST_BREAK_HTTPS": "no" if self.plain else "yes",
            "NEAREST_BREAK_FIELD": "yes",
            "NEAREST_BREAK_ADDRESS": self.meet,
            "NEAREST_BREAK_DEBUG": "no",
        }

    def command(self, certificate: Path | None, key: Path | None) -> list[str]:
        """The line that starts the server."""
        line = [sys.executable, "-m", "gunicorn", "-c", "python:meets.field.gunicorn_settings"]
        line += [part for bind in self.binds for part in ("-b", f"{bind}:{self.port}")]
        return line if self.plain else [*line, "--certfile", str(certificate), "--keyfile", str(key)]


def plan_of(*, plain: bool, port: int | None, address: str | None) -> Plan:
    """Raises NotServed."""
    if os.name == "nt":
        raise NotServed(
            _(
                "On Windows there is no server for this. What works there: manage.py demo, and manage.py runserver for "
                "this computer alone. For phones take a laptop with Linux or macOS, or a hosted server."
            )
        )
    found, names = addresses(), host_names()
    host = (address or "").strip().lower() or _likeliest(found)
    own = port or (PLAIN_PORT if plain else PORT)
    if not 0 < own < 65535:
        raise NotServed(_("--port %(port)d: expected a number from 1 to 65534.") % {"port": own})
    binds = _binds(host, found, names)
    planned = Plan(plain, host, own, own + 1 if port else TRUST_PORT, binds, tuple(names), tuple(found))
    for one in [planned.port] if plain else [planned.port, planned.trust_port]:
        _free(binds, one)
    return planned


def _likeliest(found: list[Address]) -> str:
    if not found or found[0].inside_machine:
        raise NotServed(
            _(
                "This computer is in no local network, so no phone can reach it. Connect it to the router of the meet, "
                "or switch its own hotspot on, then start again. To try it on this computer alone: --address 127.0.0.1"
            )
        )
    return found[0].text


def _binds(host: str, found: list[Address], names: list[str]) -> tuple[str, ...]:
    own = [one.text for one in found]
    if host in (LOOPBACK, "localhost"):
        return (LOOPBACK,)
    if host in own:
        return (host, *(one for one in own if one != host), LOOPBACK)
    if host in names:
        return (*own, LOOPBACK)
    known = ", ".join([*own, *names, LOOPBACK])
    if is_local(host) or not _HOST.fullmatch(host):
        raise NotServed(
            _("--address %(host)s is not an address of this computer; expected one of: %(known)s.")
            % {"host": host, "known": known}
        )
    raise NotServed(
        _(
            "--address %(host)s is no address of a local network; expected one of: %(known)s. A server that everybody "
            "can reach is set up as README.md says under “Where things are”."
        )
        % {"host": host, "known": known}
    )


def _free(binds: tuple[str, ...], port: int) -> None:
    for bind in binds:
        with socket.socket() as door:
            door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                door.bind((bind, port))
            except OSError as taken:
                raise NotServed(
                    _(
                        "Port %(port)d at %(bind)s cannot be used (%(why)s). If this command runs already somewhere, "
                        "stop it there with Ctrl-C; else choose another port with --port. Codes printed for the old "
                        "port will not lead to the new one."
                    )
                    % {"port": port, "bind": bind, "why": taken.strerror or taken}
                ) from taken
