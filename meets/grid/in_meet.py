"""What every page of the grid needs: the meet, the event or the sheet, and who types."""

from collections.abc import Callable
from functools import wraps

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from meets.entries import in_meet as pages
from meets.grid import reads
from meets.models import Meet

TYPIST = "grid_typist"


def in_meet(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Give the view the meet, and the event or the sheet that its address names, in place of their numbers."""

    @pages.in_meet
    @wraps(view)
    def inside(request: HttpRequest, meet: Meet, **parts: int) -> HttpResponse:
        given: list[object] = []
        if "event_id" in parts:
            given.append(get_object_or_404(reads.events(meet), pk=parts["event_id"]))
        if "sheet_id" in parts:
            given.append(get_object_or_404(reads.sheets(meet), pk=parts["sheet_id"]))
        return view(request, meet, *given)

    return inside


def typist_of(request: HttpRequest) -> str:
    """The name last typed in this browser, else that of the account."""
    return request.session.get(TYPIST) or request.user.get_full_name() or request.user.get_username()


def name_typed(request: HttpRequest) -> str:
    """The name in the form, without characters that no database keeps; it stands in the form of the next sheet."""
    letters = (letter for letter in request.POST.get("typed_by", "") if letter.isprintable() or letter.isspace())
    name = " ".join("".join(letters).split())[:38] or typist_of(request)
    request.session[TYPIST] = name
    return name
