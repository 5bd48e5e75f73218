from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from meets.desk.in_meet import in_meet
from meets.models import Event, Meet


@in_meet
@require_GET
def event(request: HttpRequest, meet: Meet, event_id: int) -> HttpResponse:
    found = get_object_or_404(Event, pk=event_id, meet=meet)
    return render(request, "desk/event.html", {"meet": meet, "event": found})
