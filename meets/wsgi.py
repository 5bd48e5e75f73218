"""WSGI entry point."""

import os
import sys

from django.core.handlers.exception import convert_exception_to_response
from django.core.handlers.wsgi import WSGIHandler
from django.core.signals import request_finished
from django.core.wsgi import get_wsgi_application
from django.utils.module_loading import import_string

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "meets.settings")
_pages = get_wsgi_application()

from django.conf import settings  # noqa: E402
from django.urls import reverse  # noqa: E402

from meets.field.journal import checkpoint_when_long  # noqa: E402 (needs the settings)

request_finished.connect(checkpoint_when_long)
# A push lets go of the interpreter at each statement. It gets it back after this time from a thread that draws a page,
# instead of waiting 5 ms each time.
sys.setswitchinterval(0.0005)

# Of a chain that pages need (sessions, accounts, forms, files, packing) the part that a short answer to a phone needs.
FOR_PHONES = (
    "django.middleware.security.SecurityMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
)
SHORT_WAY = {reverse("sync:push"), reverse("sync:contact")}


class _ForPhones(WSGIHandler):
    def load_middleware(self, is_async: bool = False) -> None:
        self._view_middleware, self._template_response_middleware, self._exception_middleware = [], [], []
        handler = convert_exception_to_response(self._get_response)
        for name in reversed([name for name in settings.MIDDLEWARE if name in FOR_PHONES]):
            handler = convert_exception_to_response(import_string(name)(handler))
        self._middleware_chain = handler


_phones = _ForPhones()


def application(environ, start_response):
    handler = _phones if environ["PATH_INFO"] in SHORT_WAY else _pages
    return handler(environ, start_response)
