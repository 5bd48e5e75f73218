"""What every page at a pit needs: a signed-in browser, the session, and the name of the person who writes."""

from collections.abc import Callable
from functools import wraps
from zoneinfo import ZoneInfo

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from meets.pit.screen.reads import sessions

WRITER = "pit_writer"
LONGEST_ADDRESS = 2000


def writer_of(request: HttpRequest) -> str:
    return request.session.get(WRITER, "")


def at_pit(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Give the view the session and who writes. While nobody has said so, the page asks for it and does nothing."""

    @login_required
    @wraps(view)
    def inside(request: HttpRequest, session_id: int, **kwargs: object) -> HttpResponse:
        session = get_object_or_404(sessions(), pk=session_id)
        with timezone.override(ZoneInfo(session.pit.meet.time_zone)):
            if not writer_of(request):
                status = 422 if request.method == "POST" else 200
                context = {"session": session, "next": request.get_full_path() if status == 200 else ""}
                return render(request, "pit/writer.html", context, status=status)
            return view(request, session, writer_of(request), **kwargs)

    return inside


def safe_next(request: HttpRequest, target: str) -> str:
    """The address if it is one of ours, from the root on, else ''."""
    ours = url_has_allowed_host_and_scheme(target, {request.get_host()}, require_https=request.is_secure())
    return target if ours and target.startswith("/") and len(target) <= LONGEST_ADDRESS else ""


def tidy_name(text: str) -> str:
    """The name as it stands in the log: on one line, without characters that no database keeps."""
    return " ".join("".join(letter for letter in text if letter.isprintable() or letter.isspace()).split())[:80]
