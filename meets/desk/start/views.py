from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from meets.desk.start import reads
from meets.desk.start.forms import CheckInForm, DrawForm
from meets.desk.start.tables import FlightTable
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Event, Meet
from meets.running import actions
from meets.running.actions import DESK, Refusal


@in_meet
@require_http_methods(["GET", "POST"])
def check_in(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    event = get_object_or_404(Event, pk=event_id, meet=meet)
    event.meet = meet
    page = reads.check_in_of(event)
    form = CheckInForm(request.POST if request.method == "POST" else None, lines=page.lines)
    if form.is_valid():
        answers = {"here": form.answered("here"), "not_here": form.answered("not")}
        who = {"by": request.user.get_username(), "recorder": DESK, "now": timezone.now()}
        actions.check_in(event_id=event.pk, **answers, **who)
        if not request.htmx:
            messages.success(request, _("Check-in is stored."))
            return redirect("desk:event", meet.slug, event.pk)
        page = reads.check_in_of(event)
    template = "desk/_check_in_counts.html" if request.htmx else "desk/check_in.html"
    return render(request, template, {"meet": meet, "event": event, "page": page, "form": form})


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def draw(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    event = held(request, get_object_or_404(Event, pk=event_id, meet=meet))
    event.meet = meet
    page = reads.draw_of(event)
    form = DrawForm(request.POST if request.method == "POST" else None, event=event, page=page)
    if form.is_valid():
        try:
            actions.draw(
                event_id=event.pk, by=request.user.get_username(), recorder=DESK, now=timezone.now(),
                **form.cleaned_data,
            )  # fmt: skip
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("%(event)s is drawn.") % {"event": event})
            return redirect("desk:draw", meet.slug, event.pk)
    tables = [FlightTable(flight) for flight in page.flights]
    context = {"meet": meet, "event": event, "page": page, "form": form, "tables": tables}
    return render(request, "desk/draw.html", context, status=422 if form.errors else 200)
