"""What every page of a meet needs: a signed-in person, the meet of the address, times in the meet's zone."""

from collections.abc import Callable
from functools import wraps
from zoneinfo import ZoneInfo

from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django_htmx.http import HttpResponseClientRefresh

from meets.models import Meet


def in_meet(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Give the view the meet itself in place of its short name."""

    @wraps(view)
    def inside(request: HttpRequest, meet: str, **kwargs: object) -> HttpResponse:
        if not request.user.is_authenticated:
            # A part of a page that renews itself must not be replaced by the form to sign in.
            return HttpResponseClientRefresh() if request.htmx else redirect_to_login(request.get_full_path())
        found = get_object_or_404(Meet, slug=meet)
        with timezone.override(ZoneInfo(found.time_zone)):
            return view(request, found, **kwargs)

    return inside
