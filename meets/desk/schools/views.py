from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods
from django_tables2 import RequestConfig

from athletes.models import School
from meets.desk.schools import reads
from meets.desk.schools.forms import SchoolForm
from meets.desk.schools.tables import SchoolsFilter, SchoolsTable
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Meet


@in_meet
@require_GET
def schools(request: HttpRequest, meet: Meet) -> HttpResponse:
    found = SchoolsFilter(request.GET, reads.schools_of(meet))
    table = RequestConfig(request, paginate={"per_page": 100}).configure(SchoolsTable(found.qs, meet=meet))
    return render(request, "desk/schools.html", {"meet": meet, "filter": found, "table": table})


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def school(request: HttpRequest, meet: Meet, school_id: int | None = None) -> HttpResponse:
    found = held(request, get_object_or_404(School, pk=school_id)) if school_id else None
    form = SchoolForm(request.POST or None, instance=found)
    if form.is_valid():
        form.save()
        messages.success(request, _("%(name)s is stored.") % {"name": form.instance})
        return redirect("desk:schools", meet.slug)
    return render(
        request,
        "desk/school_form.html",
        {"meet": meet, "form": form, "school": found},
        status=422 if form.errors else 200,
    )
