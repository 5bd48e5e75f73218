"""WSGI entry point."""

import os

from django.core.signals import request_finished
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "meets.settings")
application = get_wsgi_application()

from meets.field.journal import checkpoint_when_long  # noqa: E402 (needs the settings)

request_finished.connect(checkpoint_when_long)
