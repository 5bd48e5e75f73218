from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from meets.desk.decide import athletes, events, trials
from meets.desk.decide.reads import turn_page
from meets.desk.event.reads import event_page
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Event, Meet
from meets.running.actions import DESK, Refusal

DECISIONS = {**athletes.BY_NAME, **trials.BY_NAME, **events.BY_NAME}


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def decide(request: HttpRequest, meet: Meet, event_id: int, decision: str) -> HttpResponse:
    """One decision of an official: its form, and the action that it stands for."""
    if decision not in DECISIONS:
        raise Http404
    event = held(request, get_object_or_404(Event, pk=event_id, meet=meet))
    event.meet = meet
    page = event_page(event)
    form = DECISIONS[decision](
        request.POST if request.method == "POST" else None, page=page, initial=request.GET.dict()
    )
    if form.is_valid():
        try:
            form.action(
                event_id=event.pk, by=request.user.get_username(), recorder=DESK, now=timezone.now(), **form.asked()
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, form.done)
            return redirect("desk:event", meet.slug, event.pk)
    context = {"meet": meet, "event": event, "page": page, "form": form}
    return render(request, "desk/decide.html", context, status=422 if form.errors else 200)


@in_meet
@require_GET
def turn(request: HttpRequest, meet: Meet, event_id: int, entry: int, round: int, replacement: int) -> HttpResponse:
    found = get_object_or_404(Event, pk=event_id, meet=meet)
    found.meet = meet
    page = event_page(found)
    shown = turn_page(page, str(entry), round, replacement)
    if shown is None:
        raise Http404
    initial = {
        "entry": shown.turn.entry, "round": round, "replacement": replacement, "trial": shown.text,
        "wind": shown.wind, "fail_reason": shown.fail_reason, "board_cm": shown.board_cm,
        "under_protest": shown.under_protest,
    }  # fmt: skip
    forms = [
        (
            DECISIONS[name](page=page, initial=initial, auto_id=f"{name}_%s"),
            reverse("desk:decide", args=[meet.slug, event_id, name]),
            name == "correct",
        )
        for name in (("correct", "wind", "replacement", "move", "void", "protest") if shown.text else ("replacement",))
    ]
    context = {"meet": meet, "event": found, "page": page, "turn": shown, "forms": forms}
    return render(request, "desk/turn.html", context)
