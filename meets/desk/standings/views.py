from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from meets.desk.standings import actions, reads
from meets.desk.standings.forms import PenaltyForm, TakeBackForm
from meets.desk.standings.tables import LinesTable, StandingsTable
from meets.entries.in_meet import in_meet
from meets.entries.values import with_minus
from meets.models import Meet, Penalty
from meets.running.team_points import standings_of


@in_meet
@require_http_methods(["GET", "POST"])
def standings(request: HttpRequest, meet: Meet) -> HttpResponse:
    """Every school's points and what they are made of; points may be taken from a school, with the reason."""
    form = PenaltyForm(request.POST if request.method == "POST" else None, meet=meet)
    if form.is_valid():
        penalty = form.save(commit=False)
        actions.take_points(meet=meet, penalty=penalty, by=request.user.get_username(), now=timezone.now())
        messages.success(request, _("The points are taken away."))
        return redirect("desk:standings", meet.slug)
    found = standings_of(meet)
    standing, taken_back = reads.penalties_of(meet)
    context = {
        "meet": meet,
        "standings": found,
        "table": StandingsTable(found, meet_slug=meet.slug),
        "schools": [
            (school, with_minus(school.points), LinesTable(school.lines)) for school in found.schools if school.lines
        ],
        "form": form,
        "penalties": standing,
        "taken_back": taken_back,
    }
    return render(request, "desk/standings.html", context, status=422 if form.errors else 200)


@in_meet
@require_http_methods(["GET", "POST"])
def take_back_penalty(request: HttpRequest, meet: Meet, penalty_id: int) -> HttpResponse:
    penalty = get_object_or_404(Penalty, pk=penalty_id, meet=meet)
    form = TakeBackForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        actions.give_back(penalty=penalty, by=request.user.get_username(), now=timezone.now(), **form.cleaned_data)
        messages.success(request, _("The penalty is taken back."))
        return redirect("desk:standings", meet.slug)
    context = {"meet": meet, "penalty": penalty, "form": form}
    return render(request, "desk/take_back_penalty.html", context, status=422 if form.errors else 200)
