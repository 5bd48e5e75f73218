"""The addresses and names under which phones in the same network can reach this computer."""

import ipaddress
import re
import socket
import struct
from collections.abc import Iterable
from dataclasses import dataclass

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None

PRIVATE = tuple(ipaddress.ip_network(text) for text in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16"))
GIVEN_TO_ITSELF = ipaddress.ip_network("169.254.0.0/16")
"""What a computer takes when nobody gives it an address (RFC 3927): phones reach it only in the same cable or cell."""
LOCAL = (*PRIVATE, GIVEN_TO_ITSELF, ipaddress.ip_network("127.0.0.0/8"))
OF_MACHINES_INSIDE = ("docker", "br-", "veth", "virbr", "vmnet", "vboxnet", "podman", "cni")
SIOCGIFADDR = 0x8915  # the address of an interface, from Linux's sockios.h
_NAME = re.compile(r"[a-z0-9]([a-z0-9-]*[a-z0-9])?")


@dataclass(frozen=True, slots=True)
class Address:
    """One address of this computer. `outward`: the way that traffic takes which leaves it, so most likely the one."""

    text: str
    interface: str = ""
    outward: bool = False

    @property
    def inside_machine(self) -> bool:
        """Belongs to a machine inside this one, which no phone reaches."""
        return self.interface.startswith(OF_MACHINES_INSIDE)


def is_local(text: str) -> bool:
    """Whether it is an address of a local network or of this computer alone."""
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return False
    return any(address in network for network in LOCAL)


def addresses() -> list[Address]:
    """Private addresses of this computer, the likeliest first. Nothing is sent to find them."""
    outward = _outward()
    found = {text: Address(text, name, text in outward) for name, text in _of_interfaces()}
    for text in [*outward, *_of_own_name()]:
        found.setdefault(text, Address(text, "", text in outward))
    return in_order(found.values())


def in_order(found: Iterable[Address]) -> list[Address]:
    """Those a phone may reach: the way outward first, machines inside this one and self-given addresses last."""
    private = [one for one in found if is_local(one.text) and not one.text.startswith("127.")]
    return sorted(
        private,
        key=lambda one: (
            one.inside_machine,
            ipaddress.ip_address(one.text) in GIVEN_TO_ITSELF,
            not one.outward,
            ipaddress.ip_address(one.text),
        ),
    )


def host_names() -> list[str]:
    """Names of this computer as others may know it: its own, and the one that local networks announce."""
    own = socket.gethostname().partition(".")[0].lower()
    return [own, f"{own}.local"] if _NAME.fullmatch(own) and own != "localhost" else []


def _outward() -> list[str]:
    """The address used for each kind of private network; connecting a datagram socket only picks a way."""
    found = []
    for network in PRIVATE:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as door:
            try:
                door.connect((str(network.broadcast_address - 1), 9))
                found.append(door.getsockname()[0])
            except OSError:
                continue
    return list(dict.fromkeys(found))


def _of_interfaces() -> list[tuple[str, str]]:
    """Name and address of each interface, where the system can be asked (Linux)."""
    found = []
    if fcntl is None or not hasattr(socket, "if_nameindex"):
        return found
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as door:
        for _number, name in socket.if_nameindex():
            try:
                said = fcntl.ioctl(door.fileno(), SIOCGIFADDR, struct.pack("256s", name.encode()[:15]))
            except OSError:
                continue
            found.append((name, socket.inet_ntoa(said[20:24])))
    return found


def _of_own_name() -> list[str]:
    try:
        return [str(place[4][0]) for place in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    except OSError:
        return []
