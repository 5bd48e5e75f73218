"""One way for every live page from a request to an answer: who may see it, which version, whole or not at all.

How a new trial comes to be seen within two seconds: a browser asks again 1.2 s after it was answered
(`status.PACE_GOING`), a process believes what it knows for 0.4 s (`versions.LOOK_EVERY_S`), and a page is built in less
than 0.1 s; what is left is for the way. With a page kept, an answer costs no query.
"""

from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotModified
from django.shortcuts import get_object_or_404
from django.template.loader import render_to_string
from django.utils import timezone

from meets.board.kept import Kept, shelf
from meets.board.versions import seen
from meets.models import Meet

# Asked for anew each time, and mostly answered with "not modified"; only what anybody may see is kept on the way.
FOR_ALL, FOR_ONE = "public, no-cache", "private, no-cache"

Context = Callable[[Meet], dict[str, object]]


def answer(
    request: HttpRequest,
    slug: str,
    template: str,
    context: Context,
    *,
    event_id: int | None = None,
    as_organiser: bool = False,
) -> HttpResponse:
    """The page of a meet or of one event of it. `context` makes what the template shows, when it has to be built.

    `as_organiser`: this page shows more to who is signed in; it is then kept apart and never on the way.
    """
    known = seen(slug)
    if known is None or (event_id is not None and event_id not in known.events):
        raise Http404
    organiser = (as_organiser or not known.is_public) and is_organiser(request)
    if not known.is_public and not organiser:
        raise Http404
    version = known.whole if event_id is None else known.events[event_id]
    variant = as_organiser and organiser
    key = (template, known.meet_id, event_id, request.LANGUAGE_CODE, variant)
    kept = shelf.page(key, version, lambda: _built(slug, template, context))
    return _sent(request, kept, FOR_ONE if organiser else FOR_ALL)


def is_organiser(request: HttpRequest) -> bool:
    """Asks for the session only where there is one: it costs a query, and a page for all is then not for all."""
    return settings.SESSION_COOKIE_NAME in request.COOKIES and request.user.is_authenticated


def _built(slug: str, template: str, context: Context) -> str:
    meet = get_object_or_404(Meet, slug=slug)
    with timezone.override(ZoneInfo(meet.time_zone)):
        return render_to_string(template, {"meet": meet, "here": "live", **context(meet)})


def _sent(request: HttpRequest, kept: Kept, caching: str) -> HttpResponse:
    headers = {"ETag": kept.tag, "Cache-Control": caching, "Vary": "Accept-Encoding"}
    # Not `request.headers`, which takes all of them apart first: this is asked thousands of times a minute.
    if kept.tag in request.META.get("HTTP_IF_NONE_MATCH", ""):
        return HttpResponseNotModified(headers=headers)
    if "gzip" in request.META.get("HTTP_ACCEPT_ENCODING", ""):
        return HttpResponse(kept.packed, headers={**headers, "Content-Encoding": "gzip"})
    return HttpResponse(kept.body, headers=headers)
