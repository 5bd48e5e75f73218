"""What every page of the entries needs: a signed-in person, the meet of the address, times in the meet's zone."""

from collections.abc import Callable
from functools import wraps
from zoneinfo import ZoneInfo

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone

from meets.models import Meet


def in_meet(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Give the view the meet itself in place of its short name."""

    @login_required
    @wraps(view)
    def inside(request: HttpRequest, meet: str, **kwargs: object) -> HttpResponse:
        found = get_object_or_404(Meet, slug=meet)
        with timezone.override(ZoneInfo(found.time_zone)):
            return view(request, found, **kwargs)

    return inside
