from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from meets.models import PitSession
from meets.pit.crew import WRITER, at_pit, desk_or_phone_page, safe_next, tidy_name, writer_of
from meets.pit.draft import Draft, Step, step_of, with_guess
from meets.pit.screen import reads
from meets.pit.screen.actions import record_draft
from meets.pit.screen.asking import asked_of, fail_reasons, flag_words, keypad_of, read_back
from meets.pit.written import turn_from, turn_name
from meets.running.actions import Refusal


@desk_or_phone_page
@require_GET
def sessions(request: HttpRequest) -> HttpResponse:
    lines, day = reads.sessions_on(timezone.localdate())
    return render(request, "pit/sessions.html", {"lines": lines, "day": day, "today": timezone.localdate()})


@desk_or_phone_page
@require_http_methods(["GET", "POST"])
def writer(request: HttpRequest) -> HttpResponse:
    """Who is writing: asked at the start and at each hand-over."""
    target = safe_next(request, request.POST.get("next", request.GET.get("next", "")))
    name = tidy_name(request.POST.get("name", ""))
    if name:
        request.session[WRITER] = name
        return redirect(target or "pit:sessions")
    context = {"next": target, "missing": request.method == "POST", "was": writer_of(request)}
    return render(request, "pit/writer.html", context, status=422 if request.method == "POST" else 200)


@at_pit
@require_GET
def session(request: HttpRequest, session: PitSession, writer: str) -> HttpResponse:
    screen = reads.screen_of(session, request.GET.get("turn", ""))
    draft = Draft.of(request.GET) if request.GET.get("turn") else Draft()
    forced = request.GET.get("step", "")
    if forced in list(Step):
        draft = draft.without(Step(forced))
    if screen.up is not None and screen.up.recorded:
        messages.info(request, _("Bib %(bib)s has this trial already.") % {"bib": screen.up.person.bib})
        return redirect("pit:session", session.pk)
    return _screen(request, screen, writer, draft, step=Step(forced) if forced in list(Step) else None)


@require_POST
@at_pit
def record(request: HttpRequest, session: PitSession, writer: str) -> HttpResponse:
    screen = reads.screen_of(session, request.POST.get("turn", ""))
    turn = turn_from(request.POST.get("turn", ""))
    if screen.up is None or screen.up.turn != turn:
        messages.error(request, _("This turn is not in the session. Look who is up, then record."))
        return redirect("pit:session", session.pk)
    draft = Draft.of(request.POST)
    guess = request.POST.get("guess", "")
    if guess.isdecimal() and len(guess) < 6:
        draft = with_guess(draft, int(guess), screen.unit)
    if step_of(draft, screen.unit, gauge=screen.gauge) is not Step.CONFIRM:
        return _screen(request, screen, writer, draft, status=422)
    try:
        outcome = record_draft(
            event_id=screen.up.event_id,
            turn=turn,
            draft=draft,
            board_cm=screen.up.board_cm,
            by=writer,
            now=timezone.now(),
            answered=bool(request.POST.get("answered") or request.POST.get("guess")),
            picked=bool(request.POST.get("picked")),
        )
    except Refusal as refusal:
        step = Step.MARK if draft.measured and not screen.up.recorded else Step.CONFIRM
        return _screen(request, screen, writer, draft, step=step, refusal=str(refusal), status=422)
    if not outcome.recorded:
        return _screen(request, screen, writer, draft, questions=outcome.questions, status=422)
    said = read_back(draft, screen.unit)
    what = " ".join(part for part in (said.figures, said.wind or said.wind_says) if part)
    messages.success(request, _("Bib %(bib)s: %(what)s, on the server") % {"bib": screen.up.person.bib, "what": what})
    return redirect("pit:session", session.pk)


def _screen(
    request: HttpRequest,
    screen: reads.Screen,
    writer: str,
    draft: Draft,
    *,
    step: Step | None = None,
    refusal: str = "",
    questions: tuple[object, ...] = (),
    status: int = 200,
) -> HttpResponse:
    context = {
        "session": screen.session,
        "screen": screen,
        "writer": writer,
        "draft": draft,
        "step": step or step_of(draft, screen.unit, gauge=screen.gauge),
        "refusal": refusal,
        "mark_wrong": draft.mark_wrong(screen.unit),
        "wind_wrong": draft.wind_wrong(),
        "questions": asked_of(questions, screen.unit),
        "picked": request.POST.get("picked") or (screen.up is not None and not screen.up.is_called),
        "said": read_back(draft, screen.unit),
        "keypad": keypad_of(screen.unit),
        "reasons": fail_reasons(triple=screen.up is not None and screen.up.triple),
        "flags": flag_words(),
        "turn": turn_name(screen.up.turn) if screen.up else "",
    }
    return render(request, "pit/session.html", context, status=status)
