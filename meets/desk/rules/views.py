from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from meets.desk.rules import actions, reads
from meets.desk.rules.forms import RulesForm
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Event, Meet


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def meet_rules(request: HttpRequest, meet: Meet) -> HttpResponse:
    meet = held(request, meet)
    return _rules(request, meet, meet, reverse("desk:settings", args=[meet.slug]))


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def event_rules(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    event = held(request, get_object_or_404(Event, pk=event_id, meet=meet))
    event.meet = meet
    return _rules(request, meet, event, reverse("desk:event_settings", args=[meet.slug, event.pk]))


def _rules(request: HttpRequest, meet: Meet, owner: Meet | Event, then: str) -> HttpResponse:
    fixed = reads.first_trial_taken(owner)
    form = RulesForm(request.POST if request.method == "POST" and not fixed else None, owner=owner, fixed=fixed)
    if form.is_valid():
        actions.set_rules(owner=owner, changes=form.changes)
        messages.success(request, _("The rules of %(name)s are stored.") % {"name": owner})
        return redirect(then)
    return render(
        request,
        "desk/rules.html",
        {"meet": meet, "owner": owner, "form": form, "fixed": fixed, "back": then},
        status=422 if form.errors or request.method == "POST" else 200,
    )
