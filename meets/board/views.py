from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from meets.board import reads
from meets.board.answering import answer, is_organiser
from meets.models import Event, Meet


@require_safe
def meet(request: HttpRequest, meet: str) -> HttpResponse:
    return answer(request, meet, "public/board_meet.html", lambda found: {"board": reads.meet_board(found)})


@require_safe
def event(request: HttpRequest, meet: str, event_id: int) -> HttpResponse:
    return answer(request, meet, "public/board_event.html", _of(event_id), event_id=event_id)


@require_safe
def screen(request: HttpRequest, meet: str, event_id: int) -> HttpResponse:
    """The same in large type, for a screen that nobody touches."""
    return answer(request, meet, "public/board_screen.html", _of(event_id), event_id=event_id)


@require_safe
def announcer(request: HttpRequest, meet: str, event_id: int) -> HttpResponse:
    """What is said aloud, in the order of saying it; full names and how to say them for an organiser."""
    context = _of(event_id, organiser=is_organiser(request))
    return answer(request, meet, "public/board_announcer.html", context, event_id=event_id, as_organiser=True)


def _of(event_id: int, *, organiser: bool = False):
    def context(meet: Meet) -> dict[str, object]:
        event = get_object_or_404(Event, pk=event_id, meet=meet)
        event.meet = meet
        return {"event": event, "board": reads.event_board(event, organiser=organiser)}

    return context
