"""A phone comes in with a key. Wrong keys are answered slowly from the same address; neither key nor name is logged."""

from http import HTTPStatus

from django.core.cache import cache
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables

from meets.pit.crew import tidy_name
from meets.pit.keys.access import keep_cookie
from meets.pit.keys.actions import Joined, KeyEnded, NoSuchKey
from meets.pit.keys.actions import join as come_in
from meets.pit.problems import NotUnderstood, Problem, answers
from meets.pit.sync.epochs import current_epoch
from meets.pit.sync.message import read_object, short_text
from meets.pit.sync.views import body_of, in_ms

WRONG_KEYS_A_MINUTE, MINUTE_S = 30, 60


@sensitive_variables()
@answers("POST")
def join(request: HttpRequest) -> HttpResponse:
    said, _entries = read_object(body_of(request))
    secret, official = short_text(said, "key", 200), tidy_name(short_text(said, "official", 80))
    app_version = short_text(said, "app_version", 40)
    if not secret:
        raise NotUnderstood("key", _("the text of the code"))
    if not official:
        raise NotUnderstood("official", _("the name of whoever writes"))
    address = f"wrong pit keys {request.META.get('REMOTE_ADDR', '')}"
    if cache.get(address, 0) >= WRONG_KEYS_A_MINUTE:
        says = _("Too many wrong codes came from here. Wait a minute, then scan the code again.")
        raise Problem(HTTPStatus.TOO_MANY_REQUESTS, says, retry_after_s=MINUTE_S)
    try:
        joined = come_in(secret=secret, official=official, app_version=app_version, now=timezone.now())
    except KeyEnded as ended:
        raise Problem(HTTPStatus.GONE, str(ended)) from None
    except NoSuchKey as unknown:
        cache.add(address, 0, MINUTE_S)
        cache.incr(address)
        raise Problem(HTTPStatus.NOT_FOUND, str(unknown)) from None
    answer = JsonResponse(_plain(joined), status=HTTPStatus.CREATED)
    keep_cookie(request, answer, joined.device, joined.token)
    return answer


def _plain(joined: Joined) -> dict[str, object]:
    device, meet = joined.device, joined.device.meet
    return {
        "device": str(device.pk),
        "number": device.number,
        "token": joined.token,
        "official": device.official,
        "meet": {"id": meet.pk, "name": meet.name, "time_zone": meet.time_zone},
        "roles": device.key.roles,
        "sessions": [{"id": one.pk, "name": one.name, "pit": one.pit.name} for one in joined.sessions],
        "server_epoch": str(current_epoch()),
        "now": in_ms(timezone.now()),
    }
