from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET
from django_tables2 import RequestConfig

from meets.desk.addresses import address_of
from meets.desk.event import reads
from meets.desk.event.log_reads import log_lines
from meets.desk.event.tables import LogTable, SeriesTable
from meets.entries.in_meet import in_meet
from meets.models import Event, Meet


@in_meet
@require_GET
def event(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    """The event as it stands. A refresh that knows it gets nothing while nothing has changed."""
    found = _event(meet, event_id)
    page = reads.event_page(found)
    if request.htmx and request.GET.get("seen") == page.seen:
        return HttpResponse(status=204)
    context = {
        "meet": meet,
        "event": found,
        "page": page,
        "table": SeriesTable(page, meet_slug=meet.slug),
        "decisions": reads.decisions_now(page),
        "step_url": address_of(page.step, found, meet.slug, page.session.pk if page.session else None),
    }
    return render(request, "desk/_event_now.html" if request.htmx else "desk/event.html", context)


@in_meet
@require_GET
def log(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    found = _event(meet, event_id)
    rows = LogTable(log_lines(found), meet_slug=meet.slug, event_id=found.pk)
    table = RequestConfig(request, paginate={"per_page": 200}).configure(rows)
    return render(request, "desk/log.html", {"meet": meet, "event": found, "table": table})


@in_meet
@require_GET
def athlete(request: HttpRequest, meet: Meet, event_id: int, entry: int) -> HttpResponse:
    found = _event(meet, event_id)
    page = reads.event_page(found)
    line = next((line for line in page.lines if line.entry == str(entry)), None)
    if line is None:
        raise Http404
    rows = [row for row in log_lines(found) if row.entry == line.entry]
    table = LogTable(rows, meet_slug=meet.slug, event_id=found.pk)
    context = {"meet": meet, "event": found, "page": page, "line": line, "table": table}
    return render(request, "desk/athlete.html", context)


def _event(meet: Meet, event_id: int) -> Event:
    found = get_object_or_404(Event, pk=event_id, meet=meet)
    found.meet = meet
    return found
