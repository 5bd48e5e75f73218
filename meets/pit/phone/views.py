"""The state of a session for phones, and the trial clock: parse, call one function, answer."""

from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.gzip import gzip_page

from meets.models import PitSession, Role
from meets.pit.keys.access import Caller, device_of
from meets.pit.phone.clock import read_clock, set_clock
from meets.pit.phone.reads import opened_by, state_of
from meets.pit.phone.version import now_of
from meets.pit.problems import NotUnderstood, Problem, answers
from meets.pit.sync.views import body_of

SETS_THE_CLOCK = (Role.RECORDER, Role.REFEREE)


@answers("GET")
@gzip_page
def state(request: HttpRequest, session_id: int) -> HttpResponse:
    caller = device_of(request)
    role = _role(request, caller)
    session = _session(caller, session_id)
    now = timezone.now()
    known = now_of(session, caller.device, role, now)
    if _has(request, known.version):
        return _tagged(HttpResponse(status=304), known.version)
    with timezone.override(ZoneInfo(session.pit.meet.time_zone)):
        told = state_of(session, caller.device, role, now, known)
    return _tagged(HttpResponse(told.text, content_type="application/json"), told.version)


def _tagged(answer: HttpResponse, version: str) -> HttpResponse:
    answer["ETag"] = f'"{version}"'
    return answer


@answers("PUT")
def clock(request: HttpRequest, session_id: int) -> HttpResponse:
    caller = device_of(request)
    session = _session(caller, session_id)
    if not caller.roles & {*SETS_THE_CLOCK}:
        raise Problem(403, _("The clock is set by the recorder or the referee."))
    set_clock(session=session, clock=read_clock(body_of(request)))
    return HttpResponse(status=204)


def _role(request: HttpRequest, caller: Caller) -> str:
    role = request.GET.get("role", "")
    if role not in Role.values:
        raise NotUnderstood("role", f"one of {', '.join(Role.values)}")
    if role not in caller.roles:
        raise Problem(403, _("The key of this phone is not for that role."))
    return role


def _session(caller: Caller, session_id: int) -> PitSession:
    found = opened_by(caller, session_id)
    if found is None:
        raise Problem(403, _("The key of this phone does not open this session."))
    return found


def _has(request: HttpRequest, version: str) -> bool:
    """Whether the phone holds this version already."""
    said = request.headers.get("If-None-Match", "")
    return f'"{version}"' in [one.strip().removeprefix("W/") for one in said.split(",")]
