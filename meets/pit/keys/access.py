"""Which phone asks, and what it may."""

from dataclasses import dataclass
from datetime import datetime
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from meets.models import Device, PitKey
from meets.pit.keys.reads import delivers_until
from meets.pit.keys.tokens import BadToken, claims_of, device_with
from meets.pit.problems import Problem

COOKIE, COOKIE_PATH = "pit_device", "/pit/"
READS = ("GET", "HEAD")


@dataclass(frozen=True, slots=True)
class Caller:
    """A phone that asks. `late`: the time of its key is over, so what it sends waits for the desk."""

    device: Device
    roles: frozenset[str]
    key: PitKey
    late: bool


class NotLetIn(Problem):
    """No phone of ours, or one that was locked out: status 401, a sentence, and `revoked`."""

    def __init__(self, detail: str, *, revoked: bool) -> None:
        super().__init__(HTTPStatus.UNAUTHORIZED, detail, revoked=revoked)
        self.revoked = revoked


def device_of(request: HttpRequest, now: datetime | None = None) -> Caller:
    """The phone that shows its token in the header, or, where nothing is written, in its cookie. Raises NotLetIn."""
    scheme, _blank, token = request.headers.get("Authorization", "").partition(" ")
    if scheme.lower() == "bearer":
        return _caller(token.strip(), now)
    if request.method in READS and COOKIE in request.COOKIES:
        return device_by_cookie(request, now)
    raise NotLetIn(_("This phone has not shown who it is. Scan the code of your pit again."), revoked=False)


def device_by_cookie(request: HttpRequest, now: datetime | None = None) -> Caller:
    """The phone by its cookie: for pages whose forms carry a token of their own. Raises NotLetIn."""
    return _caller(request.COOKIES.get(COOKIE, ""), now)


def keep_cookie(request: HttpRequest, response: HttpResponse, device: Device, token: str) -> None:
    """Let the pages of the pit know this phone, as long as its token is good."""
    response.set_cookie(
        COOKIE,
        token,
        expires=delivers_until(device.meet),
        path=COOKIE_PATH,
        secure=request.is_secure(),
        httponly=True,
        samesite="Strict",
    )


def _caller(token: str, now: datetime | None) -> Caller:
    try:
        device = device_with(claims_of(token))
    except BadToken as problem:
        says = _("This server does not know this phone. Scan the code of your pit again: nothing on the phone is lost.")
        raise NotLetIn(says, revoked=False) from problem
    if device.revoked_at is not None or device.key.revoked_at is not None:
        says = _("The desk has locked this phone out. Save what it holds as a file, bring it to the desk, go on paper.")
        raise NotLetIn(says, revoked=True)
    late = (now or timezone.now()) >= delivers_until(device.meet)
    return Caller(device, frozenset(device.key.roles), device.key, late)
