from django.contrib.auth.decorators import login_required
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from meets.models import Event, Meet


class SignIn(LoginView):
    template_name = "desk/sign_in.html"
    redirect_authenticated_user = True


class SignOut(LogoutView):
    http_method_names = ["post", "options"]


@login_required
@require_GET
def meets(request: HttpRequest) -> HttpResponse:
    return render(request, "desk/meets.html")


@login_required
@require_GET
def meet(request: HttpRequest, meet: str) -> HttpResponse:
    return render(request, "desk/meet.html", {"meet": get_object_or_404(Meet, slug=meet)})


@login_required
@require_GET
def event(request: HttpRequest, meet: str, event_id: int) -> HttpResponse:
    event = get_object_or_404(Event.objects.select_related("meet"), pk=event_id, meet__slug=meet)
    return render(request, "desk/event.html", {"meet": event.meet, "event": event})
