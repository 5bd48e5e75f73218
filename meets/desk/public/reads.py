"""What the page about the public shows: where the public pages are, and the code that leads there."""

from dataclasses import dataclass

from django.db.models import QuerySet
from django.http import HttpRequest
from django.urls import reverse

from athletes.models import Athlete
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


def athletes_of(meet: Meet) -> QuerySet[Athlete]:
    """Everybody entered, by name."""
    entered = Athlete.objects.filter(entries__event__meet=meet).distinct()
    return entered.select_related("school").order_by("last_name", "first_name", "pk")
