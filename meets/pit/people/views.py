from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from meets.models import PitSession
from meets.pit.crew import at_pit, back_at_work
from meets.pit.people import reads
from meets.pit.people.actions import doubt_about, write_absent
from meets.pit.people.forms import FORMS, Board
from meets.running.actions import PIT, Refusal


@at_pit
@require_GET
def everybody(request: HttpRequest, session: PitSession, writer: str) -> HttpResponse:
    context = {"session": session, "writer": writer, "groups": reads.everybody(session)}
    return render(request, "pit/everybody.html", context)


@at_pit
@require_http_methods(["GET", "POST"])
def athlete(request: HttpRequest, session: PitSession, writer: str, entry: int) -> HttpResponse:
    page = reads.athlete(session, str(entry))
    if page is None:
        raise Http404
    said = {"event_id": page.event.pk, "by": writer, "now": timezone.now()}
    do = request.POST.get("do", "")
    if request.method == "GET" or do not in (*FORMS, "absent"):
        return _page(request, session, writer, page)
    form = FORMS[do](request.POST) if do in FORMS else None
    if form is not None and not form.is_valid():
        return _page(request, session, writer, page, do=do, form=form)
    try:
        if form is None:
            write_absent(turn=page.turn, **said)
        else:
            asked = form.asked()
            doubt = doubt_about(page.event, page.entry, asked["board_cm"]) if isinstance(form, Board) else ""
            if doubt and not request.POST.get("answered"):
                return _page(request, session, writer, page, do=do, asked_board=asked["board_cm"], asks=doubt)
            form.action(entry=page.entry, recorder=PIT, **asked, **said)
    except Refusal as refusal:
        return _page(request, session, writer, page, do=do, refusal=str(refusal))
    done = form.done if form else _("Written as absent.")
    messages.success(request, _("Bib %(bib)s: %(done)s") % {"bib": page.line.person.bib, "done": done})
    return back_at_work(request, session)


def _page(
    request: HttpRequest, session: PitSession, writer: str, page: reads.AthletePage, **more: object
) -> HttpResponse:
    context = {"session": session, "writer": writer, "page": page, **more}
    return render(request, "pit/athlete.html", context, status=422 if more else 200)
