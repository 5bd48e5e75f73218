from django.http import Http404, HttpRequest, HttpResponse
from django.template import TemplateDoesNotExist
from django.template.loader import get_template
from django.views.decorators.http import require_GET


@require_GET
def page(request: HttpRequest, name: str = "index") -> HttpResponse:
    """A help page for people: the template of that name in `templates/help/`."""
    try:
        template = get_template(f"help/{name}.html")
    except TemplateDoesNotExist as missing:
        raise Http404 from missing
    return HttpResponse(template.render({}, request))
