from collections.abc import Callable

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods

from meets.models import PitSession, Role
from meets.pit.crew import at_pit, at_pit_for, back_at_work, may_decide, signed_answers
from meets.pit.decisions import actions, reads
from meets.pit.decisions.forms import CloseForm, CutForm, ReadyForm, RefereeForm, TrialsForm, WindsForm
from meets.running import actions as running
from meets.running.actions import PIT, Refusal


@at_pit
@require_http_methods(["GET", "POST"])
def ready(request: HttpRequest, session: PitSession, writer: str) -> HttpResponse:
    page = reads.ready_of(session)
    signs = may_decide(request)
    known = {"referee": writer} if request.pit_phone else {}
    form = ReadyForm(request.POST or None, boards=page.boards, signs=signs, initial=known)
    context = {"session": session, "writer": writer, "page": page, "form": form}
    if form.is_valid():
        context["off"] = actions.boards_off(session, form.measured())
        if not context["off"] or request.POST.get("answered"):
            referee = form.cleaned_data.get("referee", "")
            try:
                actions.sign_ready(
                    session=session, measured=form.measured(), sign=bool(referee), by=referee or writer, recorder=PIT,
                    now=timezone.now(),
                )  # fmt: skip
                messages.success(request, _("Signed off: they may jump.") if referee else _("The boards are stored."))
                return back_at_work(request, session)
            except Refusal as refusal:
                context["refusal"] = str(refusal)
    return render(request, "pit/ready.html", context, status=422 if request.method == "POST" else 200)


@at_pit_for(Role.RECORDER, Role.SECOND, Role.REFEREE, Role.GAUGE)
@require_http_methods(["GET", "POST"])
def stop(request: HttpRequest, session: PitSession, writer: str) -> HttpResponse:
    now = timezone.now()
    if request.POST.get("do") == "stop":
        actions.stop(session=session, by=writer, now=now, reason=request.POST.get("reason", "").strip()[:200])
        messages.warning(request, _("Stopped. Nobody jumps until it goes on."))
        return back_at_work(request, session)
    if request.POST.get("do") == "go-on" and may_decide(request):
        actions.go_on(session=session, by=writer, now=now)
        messages.success(request, _("It goes on where it stopped."))
        return back_at_work(request, session)
    stopped = reads.stopped_of(session)
    context = {"session": session, "writer": writer, "stopped": stopped, "may_decide": may_decide(request)}
    return render(request, "pit/stop.html", context)


@at_pit_for(Role.RECORDER, Role.REFEREE, Role.GAUGE)
@require_http_methods(["GET", "POST"])
def winds(request: HttpRequest, session: PitSession, writer: str) -> HttpResponse:
    owed, gauge = reads.owed_winds(session)
    do, now = request.POST.get("do", ""), timezone.now()
    if do in ("no-gauge", "gauge-again"):
        reason = request.POST.get("reason", "").strip()[:200]
        actions.no_gauge(session=session, by=writer, now=now, reason=reason, again=do == "gauge-again")
        messages.success(
            request, _("Winds are read again.") if do == "gauge-again" else _("No wind from here on: NWI.")
        )
        return redirect("pit:session" if request.POST.get("back") else "pit:winds", session.pk)
    form = WindsForm(request.POST if do == "fill" else None, owed=owed)
    context = {"session": session, "writer": writer, "form": form, "gauge": gauge}
    overtaken = reads.overtaken_winds(session, request.POST) if do == "fill" else ()
    if overtaken:
        context["refusal"] = " ".join(overtaken)
    elif form.is_valid():
        try:
            count = actions.fill_winds(winds=form.winds(), by=writer, now=now)
            says = ngettext("%(count)d wind is filled in.", "%(count)d winds are filled in.", count)
            messages.success(request, says % {"count": count})
            return redirect("pit:winds", session.pk)
        except Refusal as refusal:
            context["refusal"] = str(refusal)
    return render(request, "pit/winds.html", context, status=422 if request.method == "POST" else 200)


@at_pit_for(Role.REFEREE)
@require_http_methods(["GET", "POST"])
def decide(request: HttpRequest, session: PitSession, writer: str, event_id: int) -> HttpResponse:
    page = reads.decide_page(session, event_id)
    if page is None:
        raise Http404
    do = request.POST.get("do", "")
    form = _form(do, page, signed_answers(request, writer)) if do in DECISIONS else RefereeForm()
    refusal = ""
    if do in DECISIONS and form.is_valid():
        said = {"event_id": event_id, "by": form.cleaned_data["referee"], "recorder": PIT, "now": timezone.now()}
        try:
            DECISIONS[do](form, said)
            messages.success(request, str(DONE[do]()))
            return back_at_work(request, session)
        except Refusal as problem:
            refusal = str(problem)
    context = {"session": session, "writer": writer, "page": page, "form": form, "do": do, "refusal": refusal}
    return render(request, "pit/decide.html", context, status=422 if request.method == "POST" else 200)


def _form(do: str, page: reads.DecidePage, data: object) -> RefereeForm:
    if do == "cut":
        return CutForm(data, entries=[verdict.person.entry for verdict in page.verdicts])
    return {"trials": TrialsForm, "close": CloseForm}.get(do, RefereeForm)(data)


def _trials(form: TrialsForm, said: dict[str, object]) -> None:
    reason, seen = form.cleaned_data["reason"], form.cleaned_data["version"]
    running.confirm_trials(with_cut=form.with_cut(), reason=reason, seen_version=seen, **said)


def _cut(form: CutForm, said: dict[str, object]) -> None:
    reason, seen = form.cleaned_data["reason"], form.cleaned_data["version"]
    running.take_cut(going_on=form.taken(), reason=reason, seen_version=seen, **said)


def _order(form: RefereeForm, said: dict[str, object]) -> None:
    running.call_order(seen_version=form.cleaned_data["version"], **said)


def _close(form: CloseForm, said: dict[str, object]) -> None:
    actions.close(reason=form.cleaned_data["reason"], **said)


DECISIONS: dict[str, Callable[..., None]] = {"trials": _trials, "cut": _cut, "order": _order, "close": _close}
DONE: dict[str, Callable[[], str]] = {
    "trials": lambda: _("The number of trials is confirmed."),
    "cut": lambda: _("The cut is taken and the order called."),
    "order": lambda: _("The order is called."),
    "close": lambda: _("Signed and closed."),
}


@at_pit
@require_GET
def places(request: HttpRequest, session: PitSession, writer: str) -> HttpResponse:
    context = {"session": session, "writer": writer, "events": reads.places_of(session)}
    return render(request, "pit/places.html", context)
