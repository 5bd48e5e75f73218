"""What every page at a pit needs: somebody who may be there, the session, and the name of the person who writes.

An account of the desk may do everything and says who writes. A phone is known by its cookie: its key says which
sessions it covers and what it may do, and its official is who writes.
"""

from collections.abc import Callable
from functools import wraps
from zoneinfo import ZoneInfo

from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from meets.models import Entry, PitSession, Role
from meets.pit.keys.access import COOKIE, Caller, NotLetIn, device_by_cookie
from meets.pit.keys.reads import covers
from meets.pit.screen.reads import sessions
from meets.pit.written import turn_from

WRITER = "pit_writer"
LONGEST_ADDRESS = 2000
View = Callable[..., HttpResponse]


def writer_of(request: HttpRequest) -> str:
    return request.session.get(WRITER, "")


def at_pit(view: View) -> View:
    """Give the view the session and who writes: for the desk, for phones of recorders and of referees."""
    return at_pit_for(Role.RECORDER, Role.REFEREE)(view)


def at_pit_for(*roles: Role) -> Callable[[View], View]:
    """The same for phones of these roles. A second recorder sees no page: they would show the first record."""

    def decorate(view: View) -> View:
        @wraps(view)
        def inside(request: HttpRequest, session_id: int, **parts: object) -> HttpResponse:
            phone = None
            if not request.user.is_authenticated:
                if COOKIE not in request.COOKIES:
                    return redirect_to_login(request.get_full_path())
                try:
                    phone = device_by_cookie(request)
                except NotLetIn as problem:
                    return _not_open(request, problem.detail, locked_out=problem.revoked)
            session = get_object_or_404(sessions(), pk=session_id)
            if phone is not None and (says := _not_for(phone, session, roles, request, parts)):
                return _not_open(request, says)
            request.pit_phone = phone
            with timezone.override(ZoneInfo(session.pit.meet.time_zone)):
                writer = (phone.device.official or str(phone.device)) if phone else writer_of(request)
                if not writer:
                    return _who_writes(request, session)
                return view(request, session, writer, **parts)

        return inside

    return decorate


def desk_or_phone_page(view: View) -> View:
    """A page that only the desk sees; a phone goes to its own page."""

    @wraps(view)
    def inside(request: HttpRequest, **parts: object) -> HttpResponse:
        if request.user.is_authenticated:
            return view(request, **parts)
        return redirect("pit:phone") if COOKIE in request.COOKIES else redirect_to_login(request.get_full_path())

    return inside


def may_decide(request: HttpRequest) -> bool:
    """Whether what only a referee may do is done here: always at the desk, and on a referee's phone."""
    return request.pit_phone is None or Role.REFEREE in request.pit_phone.roles


def back_at_work(request: HttpRequest, session: PitSession) -> HttpResponse:
    """Where somebody goes on who has written: the desk to flags and digits, a phone sees what came of it.

    Whoever records on a phone does so on its own page, and is led back to it from there.
    """
    return redirect("pit:session", session.pk) if request.pit_phone is None else redirect(request.path)


def signed_answers(request: HttpRequest, writer: str) -> QueryDict:
    """What was answered; on a referee's phone nobody types whose decision it is."""
    if request.pit_phone is None:
        return request.POST
    answers = request.POST.copy()
    answers["referee"] = writer
    return answers


def _not_for(
    phone: Caller, session: PitSession, roles: tuple[Role, ...], request: HttpRequest, parts: dict[str, object]
) -> str:
    """Why this page is not for this phone; '' if it is."""
    if phone.late:
        return _("The meet has been over for two weeks: nothing is written at the pit any more. Ask the desk.")
    if not covers(phone.key, session.pk):
        return _("The code of this phone is for another pit. Scan the code of this pit.")
    if not phone.roles & {*roles}:
        says = _("This page is for the %(role)s: open it on a phone that came in with that code, or ask the desk.")
        return says % {"role": _(" or ").join(str(role.label) for role in roles)}
    if phone.key.event_id is not None and not _about(phone.key.event_id, request, parts):
        return _("The code of this phone is for %(event)s only.") % {"event": phone.key.event.name}
    return ""


def _about(event_id: int, request: HttpRequest, parts: dict[str, object]) -> bool:
    """Whether an address and what is sent to it name no other event, and nobody of another event."""
    if parts.get("event_id", event_id) != event_id:
        return False
    turn = turn_from(request.POST.get("turn", "") or request.GET.get("turn", ""))
    named = {str(one) for one in (parts.get("entry"), turn and turn.entry) if one}
    return Entry.objects.filter(pk__in=named, event=event_id).count() == len(named)


def _not_open(request: HttpRequest, says: str, *, locked_out: bool = False) -> HttpResponse:
    context = {"says": says, "locked_out": locked_out}
    return render(request, "pit/not_open.html", context, status=403)


def _who_writes(request: HttpRequest, session: PitSession) -> HttpResponse:
    status = 422 if request.method == "POST" else 200
    context = {"session": session, "next": request.get_full_path() if status == 200 else ""}
    return render(request, "pit/writer.html", context, status=status)


def safe_next(request: HttpRequest, target: str) -> str:
    """The address if it is one of ours, from the root on, else ''."""
    ours = url_has_allowed_host_and_scheme(target, {request.get_host()}, require_https=request.is_secure())
    return target if ours and target.startswith("/") and len(target) <= LONGEST_ADDRESS else ""


def tidy_name(text: str) -> str:
    """The name as it stands in the log: on one line, without characters that no database keeps."""
    return " ".join("".join(letter for letter in text if letter.isprintable() or letter.isspace()).split())[:80]
