"""The page of sheets, and each sheet as a PDF."""

from django.core.exceptions import BadRequest
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from meets.entries.in_meet import in_meet
from meets.sheets import reads
from meets.sheets.export import result_csv
from meets.sheets.forms import PostedForm
from meets.sheets.printing import KINDS, event_sheet, safe_name, standings_sheet
from meets.sheets.results import result_sheet
from meets.sheets.tables import SheetsTable


@require_safe
@in_meet
def sheets(request: HttpRequest, meet) -> HttpResponse:
    posted = f"{timezone.localtime():%H:%M}"
    table = SheetsTable(reads.event_sheets(meet), meet=meet, posted=posted)
    return render(request, "desk/sheets_list.html", {"meet": meet, "table": table})


@require_safe
@in_meet
def sheet(request: HttpRequest, meet, event_id: int, kind: str) -> HttpResponse:
    if kind not in KINDS:
        raise Http404
    event = get_object_or_404(reads.events(meet), pk=event_id)
    now, form = timezone.localtime(), PostedForm(request.GET)
    if not form.is_valid():
        raise BadRequest(form.errors.as_text())
    content = event_sheet(KINDS[kind], reads.known(event, now), form.posted_at(now))
    return _pdf(content, safe_name((event.name, kind), ".pdf"))


@require_safe
@in_meet
def csv(request: HttpRequest, meet, event_id: int) -> HttpResponse:
    event = get_object_or_404(reads.events(meet), pk=event_id)
    text = result_csv(result_sheet(reads.known(event, timezone.now())))
    return HttpResponse(
        text,
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": content_disposition_header(True, safe_name((event.name, "result"), ".csv"))},
    )


@require_safe
@in_meet
def standings(request: HttpRequest, meet) -> HttpResponse:
    known = reads.teams_known(meet, timezone.now())
    return _pdf(standings_sheet(known), safe_name((meet.name, "team-standings"), ".pdf"))


def _pdf(content: bytes, name: str) -> HttpResponse:
    """Shown in the browser, kept under a name that people understand; never kept by anybody in between."""
    return HttpResponse(
        content,
        content_type="application/pdf",
        headers={"Content-Disposition": content_disposition_header(False, name), "Cache-Control": "private, no-store"},
    )
