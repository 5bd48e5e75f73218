"""The address that a code holds: it must be one that phones on the field can reach."""

from dataclasses import dataclass
from ipaddress import ip_address
from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse

from meets.models import Meet


@dataclass(frozen=True, slots=True)
class Base:
    """Where phones find this server. `only_here`: no other device reaches it. `safe`: by HTTPS."""

    address: str
    only_here: bool
    safe: bool

    @property
    def page(self) -> str:
        """The page of a phone."""
        return f"{self.address}{reverse('pit:phone')}"

    def with_key(self, secret: str) -> str:
        """What a code holds. The key stands behind the #, which no browser sends to a server."""
        return f"{self.page}#k={secret}"


def base_of(request: HttpRequest) -> Base:
    """The address that the server was told for phones, else the one by which the desk itself came."""
    told = getattr(settings, "NEAREST_BREAK_ADDRESS", "") or f"{request.scheme}://{request.get_host()}"
    parts = urlsplit(told)
    return Base(told.rstrip("/"), _only_here(parts.hostname or ""), parts.scheme == "https")


def public_base(request: HttpRequest, meet: Meet) -> str:
    """The address for what leaves this computer, sheets and letters: none where nobody could open it."""
    base = base_of(request)
    return "" if base.only_here or not meet.is_public else base.address


def _only_here(host: str) -> bool:
    if host == "localhost" or host.endswith(".localhost"):
        return True
    try:
        return ip_address(host).is_loopback or ip_address(host).is_unspecified
    except ValueError:
        return False
