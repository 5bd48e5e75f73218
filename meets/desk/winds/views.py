from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from meets.desk.event.reads import event_page
from meets.desk.winds import actions
from meets.desk.winds.forms import WindsForm
from meets.desk.winds.tables import OwedTable
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Event, Meet
from meets.running.actions import DESK


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def winds(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    """The readings that are owed, typed in one go."""
    event = held(request, get_object_or_404(Event, pk=event_id, meet=meet))
    event.meet = meet
    page = event_page(event)
    form = WindsForm(request.POST if request.method == "POST" else None, owed=page.owed, people=page.people)
    if form.is_valid():
        who = {"by": request.user.get_username(), "recorder": DESK, "now": timezone.now()}
        try:
            stored = actions.record_winds(event_id=event.pk, winds=form.typed(), **who)
        except actions.SomeRefused as refused:
            for turn, sentence in refused.sentences.items():
                form.add_error(form.name_of(turn), sentence)
        else:
            said = ngettext("%(count)d wind is stored.", "%(count)d winds are stored.", stored)
            messages.success(request, said % {"count": stored})
            return redirect("desk:event", meet.slug, event.pk)
    context = {"meet": meet, "event": event, "page": page, "form": form, "table": OwedTable(form.owed, form=form)}
    return render(request, "desk/winds.html", context, status=422 if form.errors else 200)
