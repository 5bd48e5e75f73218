from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from meets.desk.cut.forms import CutForm, Decided, OrderForm, TrialsForm
from meets.desk.cut.reads import Decisions, decisions_of
from meets.desk.cut.tables import CutTable
from meets.entries.in_meet import in_meet
from meets.models import Event, Meet
from meets.running import actions
from meets.running.actions import DESK, Refusal


@in_meet
@require_http_methods(["GET", "POST"])
def cut(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    """What the referee has to decide between rounds: number of trials, cut and order, or an order alone."""
    event = get_object_or_404(Event, pk=event_id, meet=meet)
    event.meet = meet
    page = decisions_of(event)
    form_class, action, done = _due(page)
    form = form_class(request.POST if request.method == "POST" else None, page=page) if form_class else None
    if form and form.is_valid():
        try:
            action(event_id=event.pk, by=request.user.get_username(), recorder=DESK, now=timezone.now(), **form.asked())
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, done)
            return redirect("desk:event", meet.slug, event.pk)
    context = {
        "meet": meet,
        "event": event,
        "page": page,
        "form": form,
        "table": CutTable(page.rows, form=form) if page.rows else None,
        "taken": [(cut, CutTable(cut.rows)) for cut in page.taken],
    }
    return render(request, "desk/cut.html", context, status=422 if form and form.errors else 200)


def _due(page: Decisions) -> tuple[type[Decided] | None, Callable[..., object] | None, str]:
    """The decision that is due now: its form, its action, and what is said when it is done."""
    if page.trials:
        return TrialsForm, actions.confirm_trials, _("The number of trials is confirmed.")
    if page.cut_after:
        return CutForm, actions.take_cut, _("The cut is taken. Read the order out to the athletes.")
    if page.order_round:
        return OrderForm, actions.call_order, _("The order is called. Read it out to the athletes.")
    return None, None, ""
