"""The floor of the live board: bare views in the same server, behind the same middleware, with as many bytes.

`/bare/<bytes>/` answers so many, `/bare/<bytes>/packed/` says that they are packed already, `/bare/same/` that nothing
is new.
"""

import os

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseNotModified
from django.urls import path

MOST = 256 * 1024
BODY = b"x" * MOST
HEADERS = {"ETag": 'W/"floor"', "Cache-Control": "public, no-cache", "Vary": "Accept-Encoding"}


def bare(request: HttpRequest, size: int) -> HttpResponse:
    return HttpResponse(BODY[:size], headers=HEADERS)


def packed(request: HttpRequest, size: int) -> HttpResponse:
    return HttpResponse(BODY[:size], headers={**HEADERS, "Content-Encoding": "gzip"})


def same(request: HttpRequest) -> HttpResponse:
    return HttpResponseNotModified(headers=HEADERS)


# Only where the bench asks for it: a collector of tests imports this file too.
if "FLOOR_BOARD" in os.environ:
    from meets.wsgi import application  # noqa: F401, I001  (first, as it sets up everything)
    from meets.urls import urlpatterns as product

    # Beside the address of the live board, so that both are found after as many others.
    board, *others = product
    bare_patterns = [
        path("bare/<int:size>/", bare),
        path("bare/<int:size>/packed/", packed),
        path("bare/same/", same),
    ]
    urlpatterns = [board, *bare_patterns, *others]
    settings.ROOT_URLCONF = __name__
