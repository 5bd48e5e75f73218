from django.contrib import messages
from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from meets.desk.phones.address import base_of, public_base
from meets.desk.publishing import reads
from meets.desk.publishing.forms import PublishAllForm, PublishForm, StepForm, TeamsForm
from meets.desk.publishing.signing import signing
from meets.entries.in_meet import in_meet
from meets.models import Event, Meet
from meets.publishing import actions
from meets.running.refusals import Refusal


@in_meet
@require_GET
def results(request: HttpRequest, meet: Meet) -> HttpResponse:
    """Every event with what is published of it; renewed by itself where the browser can."""
    context = {
        "meet": meet,
        "page": reads.results_of(meet, timezone.now()),
        "form": PublishAllForm(),
        "base": base_of(request),
    }
    return render(request, "desk/_publish_list.html" if request.htmx else "desk/publish.html", context)


@in_meet
@require_http_methods(["GET", "POST"])
def event(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    """One result: how it stands, what a new version would change, and publishing it."""
    found = get_object_or_404(Event, pk=event_id, meet=meet)
    found.meet = meet
    now = timezone.now()
    page = reads.event_result(found, now)
    form = PublishForm(request.POST if request.method == "POST" else None, page=page)
    if form.is_valid():
        try:
            made = actions.publish(
                found,
                status=form.cleaned_data["status"],
                **signing(request.user),
                now=now,
                reason=form.cleaned_data.get("reason", ""),
                referee=form.cleaned_data.get("referee", ""),
                seen=form.seen,
                base=public_base(request, meet),
            )
        except Refusal as refused:
            form.add_error(None, str(refused))
            page = reads.event_result(found, now)
        else:
            says = _("Version %(version)d of %(event)s is published: %(status)s.")
            about = {"version": made.version, "event": found.name, "status": made.get_status_display()}
            messages.success(request, says % about)
            return redirect("publishing:event", meet.slug, found.pk)
    context = {"meet": meet, "event": found, "page": page, "form": form}
    return render(request, "desk/publish_event.html", context, status=422 if form.errors else 200)


@in_meet
@require_POST
def publish_all(request: HttpRequest, meet: Meet) -> HttpResponse:
    """All events and the team standings: in a browser that can, one after the other with a bar; else in one go."""
    form = PublishAllForm(request.POST)
    if not form.is_valid():
        raise BadRequest(form.errors.as_text())
    if request.htmx:
        events = list(meet.events.all())
        context = {"meet": meet, "total": len(events) + 1, "done": 0, "next": events[0] if events else None}
        return render(request, "desk/_publish_progress.html", {**context, "reason": form.cleaned_data["reason"]})
    who, now, base = signing(request.user), timezone.now(), public_base(request, meet)
    done = actions.publish_meet(meet, **who, now=now, reason=form.cleaned_data["reason"], base=base)
    for one in done:
        if one.why_not:
            messages.warning(request, f"{one.event.name}: {one.why_not}")
    count = sum(one.publication is not None for one in done)
    messages.success(
        request, ngettext("%(n)d result is published.", "%(n)d results are published.", count) % {"n": count}
    )
    try:
        actions.publish_standings(meet, **who, now=now, base=base)
    except Refusal as refused:
        messages.info(request, _("Team standings: %(why)s") % {"why": refused})
    return redirect("publishing:meet", meet.slug)


@in_meet
@require_POST
def step(request: HttpRequest, meet: Meet) -> HttpResponse:
    """One event of the run, or after the last of them the team standings."""
    form = StepForm(request.POST)
    if not form.is_valid():
        raise BadRequest(form.errors.as_text())
    events = list(meet.events.all())
    numbers = [event.pk for event in events]
    wanted, who = form.cleaned_data["event"], signing(request.user)
    now, base = timezone.now(), public_base(request, meet)
    if wanted in numbers:
        at = numbers.index(wanted)
        events[at].meet = meet
        one = actions.publish_next(events[at], **who, now=now, reason=form.cleaned_data["reason"], base=base)
        following = numbers[at + 1] if at + 1 < len(numbers) else 0
        context = {"done": at + 1, "one": one, "next": following}
    else:
        try:
            made, why_not = actions.publish_standings(meet, **who, now=now, base=base), ""
        except Refusal as refused:
            made, why_not = None, str(refused)
        context = {"done": len(numbers) + 1, "teams": made, "why_not": why_not, "finished": True}
    context |= {"meet": meet, "total": len(numbers) + 1, "reason": form.cleaned_data["reason"]}
    return render(request, "desk/_publish_step.html", context)


@in_meet
@require_POST
def teams(request: HttpRequest, meet: Meet) -> HttpResponse:
    """The next version of the team standings."""
    form = TeamsForm(request.POST)
    if not form.is_valid():
        raise BadRequest(form.errors.as_text())
    who, base = signing(request.user), public_base(request, meet)
    try:
        made = actions.publish_standings(meet, **who, now=timezone.now(), base=base, seen=form.cleaned_data["version"])
    except Refusal as refused:
        messages.warning(request, str(refused))
    else:
        says = _("Version %(version)d of the team standings is published: %(status)s.")
        messages.success(request, says % {"version": made.version, "status": made.get_status_display()})
    return redirect("publishing:meet", meet.slug)
