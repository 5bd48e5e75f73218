from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods
from django_tables2 import RequestConfig

from meets.desk.meet import actions, reads
from meets.desk.meet.forms import MeetForm
from meets.desk.meet.overview import overview_of
from meets.desk.meet.tables import MeetsTable, OverviewTable
from meets.desk.phones.reads import troubles_of
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Meet


@login_required
@require_GET
def meets(request: HttpRequest) -> HttpResponse:
    table = RequestConfig(request, paginate={"per_page": 50}).configure(MeetsTable(reads.meets_list()))
    return render(request, "desk/meets.html", {"table": table})


@login_required
@require_http_methods(["GET", "POST"])
def create(request: HttpRequest) -> HttpResponse:
    form = MeetForm(request.POST or None)
    if form.is_valid():
        meet = actions.create_meet(meet=form.save(commit=False))
        messages.success(request, _("%(name)s is set up. Add its events next.") % {"name": meet})
        return redirect("desk:programme", meet.slug)
    return render(request, "desk/meet_form.html", {"form": form}, status=422 if form.errors else 200)


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def change(request: HttpRequest, meet: Meet) -> HttpResponse:
    form = MeetForm(request.POST or None, instance=held(request, meet))
    if form.is_valid():
        actions.change_meet(meet=form.save(commit=False))
        messages.success(request, _("The settings are stored."))
        return redirect("desk:settings", meet.slug)
    return render(request, "desk/meet_form.html", {"meet": meet, "form": form}, status=422 if form.errors else 200)


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def remove(request: HttpRequest, meet: Meet) -> HttpResponse:
    """What would go is counted first; a meet in which anything was recorded stays."""
    meet = held(request, meet)
    removal = reads.removal_of(meet)
    if request.method == "POST" and not removal.why_not:
        name = meet.name
        actions.remove_meet(meet=meet)
        messages.success(request, _("%(name)s is removed.") % {"name": name})
        return redirect("desk:meets")
    context = {"meet": meet, "removal": removal}
    return render(request, "desk/remove_meet.html", context, status=422 if request.method == "POST" else 200)


@in_meet
@require_GET
def settings(request: HttpRequest, meet: Meet) -> HttpResponse:
    return render(request, "desk/settings.html", {"meet": meet, "settings": reads.settings_of(meet)})


@in_meet
@require_GET
def overview(request: HttpRequest, meet: Meet) -> HttpResponse:
    """The day at a glance; refreshed by itself where the browser can."""
    table = OverviewTable(overview_of(meet), meet=meet)
    template = "desk/_overview.html" if request.htmx else "desk/meet.html"
    context = {"meet": meet, "table": table, "todo": reads.still_to_set_up(meet)}
    context |= {"troubles": troubles_of(meet, timezone.now()), "disk": reads.disk_says()}
    return render(request, template, context)
