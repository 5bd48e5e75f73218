from collections.abc import Callable
from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from meets.models import PitSession, Role
from meets.pit.course.forms import AbandonForm, CourseForm, JoinForm, MoveForm, ShortenForm
from meets.pit.course.reads import CoursePage, course_page
from meets.pit.crew import at_pit_for, back_at_work, signed_answers
from meets.running import actions
from meets.running.actions import PIT, Refusal


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that a referee may do with the rest of an event; `possible`: whether there is anything to choose."""

    form: type[CourseForm]
    action: Callable[..., object]
    heading: str
    says: str
    button: str
    done: str
    possible: Callable[[CoursePage], bool]


CHANGES = {
    "shorten": Change(
        ShortenForm, actions.shorten, _("End after a round"),
        _("For all alike: no round after this one. The sheet says so."),
        _("End after this round"), _("No round after that one."), lambda page: bool(page.may_end_after),
    ),
    "join": Change(
        JoinForm, actions.merge_flights, _("Join the flights"),
        _("From this round on everybody jumps in one order. Rounds before keep theirs."),
        _("Join them"), _("The flights are joined."), lambda page: len(page.flights) > 1 and bool(page.next_rounds),
    ),
    "move": Change(
        MoveForm, actions.move_flight, _("Move a flight to another pit"),
        _("Only after a completed round; wind alone is no reason. Runway, sand and board there are looked at first."),
        _("Move it"), _("The flight goes on at the other pit."), lambda page: len(page.pits) > 1 and bool(page.flights),
    ),
    "abandon": Change(
        AbandonForm, actions.abandon, _("Abandon the event"),
        _("It will not be finished. A round that was broken off is shown and does not count."),
        _("Abandon"), _("Abandoned."), lambda page: True,
    ),
}  # fmt: skip


@at_pit_for(Role.REFEREE)
@require_http_methods(["GET", "POST"])
def course(request: HttpRequest, session: PitSession, writer: str, event_id: int) -> HttpResponse:
    page = course_page(session, event_id)
    if page is None:
        raise Http404
    do, refusal = request.POST.get("do", ""), ""
    forms = _forms(page, do, signed_answers(request, writer))
    if do in forms and forms[do].is_valid():
        said = {"by": forms[do].cleaned_data["referee"], "recorder": PIT, "now": timezone.now()}
        try:
            CHANGES[do].action(event_id=event_id, **forms[do].said(), **said)
            messages.success(request, str(CHANGES[do].done))
            return back_at_work(request, session)
        except Refusal as problem:
            refusal = str(problem)
    changes = [(name, CHANGES[name], form) for name, form in forms.items()]
    context = {"session": session, "writer": writer, "page": page, "changes": changes, "do": do, "refusal": refusal}
    return render(request, "pit/course.html", context, status=422 if request.method == "POST" else 200)


def _forms(page: CoursePage, do: str, answers: QueryDict) -> dict[str, CourseForm]:
    """A form for everything that is possible; the answers go into the one that was sent."""
    possible = {name: change for name, change in CHANGES.items() if not page.over and change.possible(page)}
    return {
        name: change.form(answers if name == do else None, page=page, auto_id=f"{name}-%s")
        for name, change in possible.items()
    }
