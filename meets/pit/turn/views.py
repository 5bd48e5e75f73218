from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from meets.models import PitSession
from meets.pit.crew import at_pit, back_at_work
from meets.pit.draft import Draft
from meets.pit.screen.asking import fail_reasons
from meets.pit.turn.actions import correct, put_right
from meets.pit.turn.forms import FORMS, Correct, Move, PutRight
from meets.pit.turn.reads import TurnPage, turn_page
from meets.pit.written import turn_from
from meets.running.actions import PIT, Refusal


@at_pit
@require_http_methods(["GET", "POST"])
def turn(
    request: HttpRequest, session: PitSession, writer: str, entry: int, round: int, replacement: int
) -> HttpResponse:
    asked = turn_from(f"{entry}-{round}-{replacement}")
    page = turn_page(session, asked) if asked else None
    if page is None:
        raise Http404
    do = request.POST.get("do", "")
    draft = Draft.of(request.POST) if do == "correct" else page.draft
    forms = {name: _form(kind, page, request.POST if name == do else None) for name, kind in FORMS.items()}
    refusal = ""
    if request.method == "POST" and do in forms and forms[do].is_valid():
        said = {"event_id": page.event.pk, "turn": page.turn, "by": writer, "now": timezone.now()}
        form = forms[do]
        try:
            seen = request.POST.get("seen", "").split()
            if isinstance(form, Correct):
                put_right(correct, seen=seen, draft=draft, unit=page.unit, **form.asked(), **said)
            else:
                put_right(form.action, seen=seen, recorder=PIT, **form.asked(), **said)
            messages.success(request, _("Bib %(bib)s: %(done)s") % {"bib": page.person.bib, "done": form.done})
            return back_at_work(request, session)
        except Refusal as problem:
            refusal = str(problem)
            page = turn_page(session, page.turn) or page
    context = {
        "session": session,
        "writer": writer,
        "page": page,
        "forms": forms,
        "do": do,
        "draft": draft,
        "refusal": refusal,
        "reasons": fail_reasons(triple=page.triple),
    }
    return render(request, "pit/turn.html", context, status=422 if request.method == "POST" else 200)


def _form(kind: type[PutRight], page: TurnPage, data: object) -> PutRight:
    return kind(data, people=page.others) if kind is Move else kind(data)
