"""Where the public pages of a meet are, and the code that leads there."""

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse

from meets.desk.phones.address import base_of
from meets.models import Meet


@dataclass(frozen=True, slots=True)
class PublicPage:
    """`path` is a code in a square of `units`. `only_here`: no phone reaches this address."""

    address: str
    only_here: bool
    units: int
    path: str


def public_page(meet: Meet, request: HttpRequest) -> PublicPage:
    from athletes.paper.qr import qr_path

    base = base_of(request)
    address = base.address + reverse("board:meet", args=[meet.slug])
    return PublicPage(address, base.only_here, *qr_path(address))
