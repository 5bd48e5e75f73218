"""The page of an official's phone and what opens it without signal. The same for everybody, as a phone keeps it."""

import json
from collections.abc import Callable
from functools import wraps

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from meets.pit.phone.shell import files
from meets.pit.phone.shell.words import WORDS

ONLY_OURS = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
    "worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


def only_ours(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Nothing from elsewhere, nothing written into the page by somebody else, and always the newest."""

    @wraps(view)
    def inside(request: HttpRequest, **parts: object) -> HttpResponse:
        answer = view(request, **parts)
        answer["Content-Security-Policy"] = ONLY_OURS
        answer["Cache-Control"] = "no-cache"
        return answer

    return inside


@require_GET
@only_ours
def phone(request: HttpRequest) -> HttpResponse:
    context = {
        "version": files.version(),
        "scripts": files.scripts(),
        "words": {key: str(words) for key, words in WORDS.items()},
        "scope": reverse("pit:sessions"),
    }
    return render(request, "pit/phone.html", context)


@require_GET
@only_ours
def worker(request: HttpRequest) -> HttpResponse:
    shell = {"version": files.version(), "page": reverse("pit:phone"), "files": files.addresses()}
    text = f"self.shell = {json.dumps(shell)};\n{files.worker_text()}"
    return HttpResponse(text, content_type="text/javascript; charset=utf-8")


@require_GET
@only_ours
def manifest(request: HttpRequest) -> HttpResponse:
    """How the page stands on a home screen."""
    said = {
        "id": reverse("pit:phone"),
        "name": f"Nearest Break, {_('at the pit')}",
        "short_name": _("Pit"),
        "start_url": reverse("pit:phone"),
        "scope": reverse("pit:sessions"),
        "display": "standalone",
        "background_color": "#fffdf8",
        "theme_color": "#1d2430",
        "icons": [{"src": static("base/mark.svg"), "sizes": "any", "type": "image/svg+xml"}],
    }
    return JsonResponse(said, content_type="application/manifest+json")
