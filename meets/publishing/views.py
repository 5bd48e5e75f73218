"""What anybody may read of a meet that is shown to the public: pages, and each version as a file."""

from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotModified, JsonResponse
from django.shortcuts import get_object_or_404
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from meets.board.answering import is_organiser
from meets.models import Event, Meet
from meets.publishing import meet_pages, reads, result_pages, version_pages
from meets.publishing.canonical import sha256_of
from meets.publishing.files import content_of, file_name
from meets.publishing.schema import schema_of
from meets.publishing.shown_now import hands_out


@require_safe
def meet(request: HttpRequest, meet: str) -> HttpResponse:
    return _page(request, meet, "public/result_meet.html", lambda found: {"page": meet_pages.meet_page(found)})


@require_safe
def result(request: HttpRequest, meet: str, event_id: int | None = None, version: int | None = None) -> HttpResponse:
    """A version of a result or of the team standings; the newest one without a number."""

    def context(found: Meet) -> dict[str, object]:
        event = _event(found, event_id)
        page = result_pages.result_page(found, event, version) if event else meet_pages.teams_page(found, version)
        if page is None and (version is not None or event is None):
            raise Http404
        return {"page": page, "event": event, "one_version": version is not None}

    return _page(request, meet, "public/result_event.html" if event_id else "public/result_teams.html", context)


@require_safe
def versions(request: HttpRequest, meet: str, event_id: int | None = None) -> HttpResponse:
    def context(found: Meet) -> dict[str, object]:
        event = _event(found, event_id)
        shown = version_pages.versions_page(found, event)
        if not shown:
            raise Http404
        return {"versions": shown, "event": event}

    return _page(request, meet, "public/result_versions.html", context)


@require_safe
def file(
    request: HttpRequest, meet: str, ending: str, event_id: int | None = None, version: int | None = None
) -> HttpResponse:
    """Asked for anew each time, though a version never changes: the meet may be hidden, or a name taken away."""
    found = _meet(request, meet)
    publication = reads.one_version(found, _event(found, event_id), version)
    if publication is None or ending not in version_pages.ENDINGS:
        raise Http404
    if not hands_out(publication) and not is_organiser(request):
        return _not_handed_out()
    reach = "public" if found.is_public and not is_organiser(request) else "private"
    headers = {
        "ETag": f'"{publication.sha256[:32]}-{ending}"',
        "Cache-Control": f"{reach}, no-cache",
        # What a search engine has kept cannot be taken away here; pages say the same in their head.
        "X-Robots-Tag": "noindex, noarchive",
    }
    if headers["ETag"] in request.headers.get("If-None-Match", ""):
        return HttpResponseNotModified(headers=headers)
    name = file_name(publication, ending)
    headers["Content-Disposition"] = content_disposition_header(ending == "csv", name)
    return HttpResponse(content_of(publication, ending), content_type=version_pages.ENDINGS[ending], headers=headers)


def _not_handed_out() -> HttpResponse:
    says = _(
        "This file names somebody more fully than is shown now, so it is no longer handed out. "
        "The page of this version shows the result as it is shown now. The organisers have the file."
    )
    return HttpResponse(
        says, status=410, content_type="text/plain; charset=utf-8", headers={"Cache-Control": "no-cache"}
    )


@require_safe
def schema(request: HttpRequest, document: str) -> HttpResponse:
    try:
        found = schema_of(document, request.build_absolute_uri(request.path))
    except KeyError as problem:
        raise Http404 from problem
    return JsonResponse(found, content_type="application/schema+json", json_dumps_params={"indent": 2})


def _meet(request: HttpRequest, slug: str) -> Meet:
    """A meet that is not shown to the public is as unknown as one that there is not; organisers see it."""
    found = get_object_or_404(Meet, slug=slug)
    if not found.is_public and not is_organiser(request):
        raise Http404
    return found


def _event(meet: Meet, event_id: int | None) -> Event | None:
    """The event of this meet; None without a number: the team standings are meant."""
    if event_id is None:
        return None
    event = get_object_or_404(Event, pk=event_id, meet=meet)
    event.meet = meet
    return event


def _page(request: HttpRequest, slug: str, template: str, context: Callable[[Meet], dict[str, object]]) -> HttpResponse:
    found = _meet(request, slug)
    with timezone.override(ZoneInfo(found.time_zone)):
        body = render_to_string(template, {"meet": found, "here": "results", **context(found)})
    headers = {
        "ETag": f'W/"{sha256_of(body)[:24]}"',
        "Cache-Control": "public, no-cache" if found.is_public else "private, no-cache",
    }
    if headers["ETag"] in request.headers.get("If-None-Match", ""):
        return HttpResponseNotModified(headers=headers)
    return HttpResponse(body, headers=headers)
