"""What anybody may read of a meet that is shown to the public."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe


@require_safe
def meet(request: HttpRequest, meet: str) -> HttpResponse:
    raise Http404


@require_safe
def teams(request: HttpRequest, meet: str) -> HttpResponse:
    raise Http404


@require_safe
def event(request: HttpRequest, meet: str, event_id: int) -> HttpResponse:
    raise Http404
