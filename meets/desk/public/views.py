from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from meets.desk.public import actions
from meets.desk.public.address import public_page
from meets.desk.public.forms import PublicForm
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Meet
from meets.publishing.reads import latest
from meets.publishing.shown_now import naming_more


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def public(request: HttpRequest, meet: Meet) -> HttpResponse:
    """Whether the public sees the meet, how much of names, and where."""
    form = PublicForm(request.POST or None, instance=held(request, meet))
    if form.is_valid():
        ticked = [athlete.pk for athlete in form.cleaned_data["not_shown"]]
        actions.show_to_the_public(meet=form.instance, not_shown=ticked)
        shown = _("The public sees this meet now.") if form.instance.is_public else _("The public sees nothing of it.")
        messages.success(request, shown)
        if naming_more(form.instance, latest(form.instance).values()):
            says = _(
                "Published results name somebody more fully than is shown now. Their pages leave that out from now on, "
                "and their files are not handed out any more: publish these results again, under Results. "
                "What was printed, sent or exported before has the names still."
            )
            messages.warning(request, says)
        return redirect("desk:public", meet.slug)
    context = {"meet": meet, "form": form, "page": public_page(meet, request)}
    return render(request, "desk/public.html", context, status=422 if form.errors else 200)


@in_meet
@require_GET
def code(request: HttpRequest, meet: Meet) -> HttpResponse:
    """The code that leads to the public page, as a picture."""
    context = {"page": public_page(meet, request)}
    return render(request, "desk/public_code.svg", context, content_type="image/svg+xml")
