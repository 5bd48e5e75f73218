from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from meets.desk.pits import actions, reads
from meets.desk.pits.forms import EachForm, PitForm, SessionForm
from meets.desk.pits.tables import PartsTable, PitsTable, SessionsTable
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Meet, Pit, PitSession


@in_meet
@require_GET
def pits(request: HttpRequest, meet: Meet) -> HttpResponse:
    return render(
        request,
        "desk/pits.html",
        {
            "meet": meet,
            "pits": PitsTable(reads.pits_of(meet), meet=meet),
            "sessions": SessionsTable(reads.sessions_of(meet), meet=meet),
            "without": reads.without_session(meet),
            "each": EachForm(meet=meet),
        },
    )


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def pit(request: HttpRequest, meet: Meet, pit_id: int | None = None) -> HttpResponse:
    found = held(request, get_object_or_404(Pit, pk=pit_id, meet=meet)) if pit_id else None
    form = PitForm(request.POST or None, instance=found, meet=meet)
    if form.is_valid():
        form.save()
        messages.success(request, _("%(name)s is stored.") % {"name": form.instance})
        return redirect("desk:pits", meet.slug)
    context = {"meet": meet, "form": form, "pit": found}
    return render(request, "desk/pit_form.html", context, status=422 if form.errors else 200)


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def session(request: HttpRequest, meet: Meet, session_id: int | None = None) -> HttpResponse:
    found = held(request, get_object_or_404(PitSession, pk=session_id, pit__meet=meet)) if session_id else None
    form = SessionForm(request.POST or None, meet=meet, session=found)
    if form.is_valid():
        asked = {name: form.cleaned_data[name] for name in ("pit", "name", "start")}
        stored = actions.store_session(meet=meet, session=found, parts=form.parts(), **asked)
        messages.success(request, _("The session %(name)s is stored.") % {"name": stored})
        return redirect("desk:pits", meet.slug)
    context = {"meet": meet, "form": form, "session": found, "table": PartsTable(form.lines, form=form)}
    return render(request, "desk/session_form.html", context, status=422 if form.errors else 200)


@in_meet
@require_POST
def a_session_each(request: HttpRequest, meet: Meet) -> HttpResponse:
    form = EachForm(request.POST, meet=meet)
    if form.is_valid():
        made = actions.a_session_each(meet=meet, pit=form.cleaned_data["pit"])
        said = ngettext("%(count)d session is made.", "%(count)d sessions are made.", made)
        messages.success(request, said % {"count": made})
    else:
        messages.error(request, _("Choose one of this meet's pits."))
    return redirect("desk:pits", meet.slug)


@in_meet
@require_POST
def remove_session(request: HttpRequest, meet: Meet, session_id: int) -> HttpResponse:
    found = get_object_or_404(PitSession, pk=session_id, pit__meet=meet)
    if reads.started(found):
        messages.error(request, _("Somebody has jumped in %(name)s; it stays.") % {"name": found})
        return redirect("desk:session", meet.slug, found.pk)
    actions.remove_session(session=found)
    messages.success(request, _("The session %(name)s is removed; its events stay.") % {"name": found})
    return redirect("desk:pits", meet.slug)
