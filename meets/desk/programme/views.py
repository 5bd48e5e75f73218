from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST

from meets.desk.programme import actions, reads
from meets.desk.programme.forms import AddEventsForm, EventForm, TimesForm
from meets.desk.programme.tables import ProgrammeTable
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Event, Meet


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def programme(request: HttpRequest, meet: Meet) -> HttpResponse:
    events = list(reads.programme(held(request, meet)))
    form = TimesForm(request.POST if request.method == "POST" else None, events=events)
    if form.is_valid():
        actions.set_times(meet=meet, times=form.times())
        messages.success(request, _("The times are stored; the programme is in their order."))
        return redirect("desk:programme", meet.slug)
    context = {"meet": meet, "form": form, "events": events}
    context["doubts"] = reads.boards_not_there(events, meet.unit)
    context["table"] = ProgrammeTable(events, form=form, meet=meet)
    return render(request, "desk/programme.html", context, status=422 if form.errors else 200)


@in_meet
@require_http_methods(["GET", "POST"])
def add_events(request: HttpRequest, meet: Meet) -> HttpResponse:
    form = AddEventsForm(request.POST if request.method == "POST" else None, meet=meet)
    if form.is_valid():
        done = actions.add_events(meet=meet, **form.asked_for())
        said = ngettext("%(count)d event is added.", "%(count)d events are added.", len(done.added))
        messages.success(request, said % {"count": len(done.added)})
        if done.there_already:
            there = _("There already: %(events)s.") % {"events": ", ".join(done.there_already)}
            messages.info(request, there)
        return redirect("desk:programme", meet.slug)
    return render(request, "desk/add_events.html", {"meet": meet, "form": form}, status=422 if form.errors else 200)


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def event_settings(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    event = held(request, get_object_or_404(Event, pk=event_id, meet=meet))
    form = EventForm(request.POST or None, instance=event)
    if form.is_valid():
        form.save()
        messages.success(request, _("%(name)s is stored.") % {"name": event})
        return redirect("desk:programme", meet.slug)
    context = {"meet": meet, "event": event, "form": form, "removable": reads.removable(event)}
    return render(request, "desk/event_settings.html", context, status=422 if form.errors else 200)


@in_meet
@require_POST
def remove_event(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    event = get_object_or_404(Event, pk=event_id, meet=meet)
    if not reads.removable(event):
        messages.error(request, _("%(name)s has entries or a log and stays.") % {"name": event})
        return redirect("desk:event_settings", meet.slug, event.pk)
    actions.remove_event(event=event)
    messages.success(request, _("%(name)s is removed.") % {"name": event})
    return redirect("desk:programme", meet.slug)
