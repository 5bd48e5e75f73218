"""The floor of a push: a bare Django view that does one durable INSERT and answers 200 bytes.

A server of its own, or, with DJANGO_SETTINGS_MODULE set, beside the addresses of the product in the same server.

Environment: FLOOR_DB (`sqlite` or `postgresql`), FLOOR_NAME (file, or database), FLOOR_HOST, FLOOR_PORT. `/w` inserts;
`/l` inserts with a lock of the kernel around it, the queue for writers that SQLite lacks.
"""

import fcntl
import os
import uuid

import django
from django.conf import settings

POSTGRESQL = os.environ.get("FLOOR_DB") == "postgresql"
NAME = os.environ.get("FLOOR_NAME", ":memory:")


def _database() -> dict[str, object]:
    if POSTGRESQL:
        place = {"HOST": os.environ["FLOOR_HOST"], "PORT": os.environ["FLOOR_PORT"], "USER": "nearest"}
        return {"ENGINE": "django.db.backends.postgresql", "NAME": NAME, "CONN_MAX_AGE": None, **place}
    pragmas = "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;"
    options = {"transaction_mode": "IMMEDIATE", "timeout": 10, "init_command": pragmas}
    return {"ENGINE": "django.db.backends.sqlite3", "NAME": NAME, "CONN_MAX_AGE": None, "OPTIONS": options}


# Only where a bench asks for it: a collector of tests imports this file too.
BESIDE = {"FLOOR_NAME", "DJANGO_SETTINGS_MODULE"} <= set(os.environ)
if BESIDE:
    import meets.wsgi
elif not settings.configured:
    settings.configure(
        SECRET_KEY="floor", ALLOWED_HOSTS=["*"], ROOT_URLCONF=__name__, MIDDLEWARE=[], INSTALLED_APPS=[], USE_TZ=True,
        DATABASES={"default": _database()}, LOGGING_CONFIG=None,
    )  # fmt: skip
    django.setup()

from django.core.wsgi import get_wsgi_application  # noqa: E402
from django.db import connection, models  # noqa: E402
from django.http import HttpRequest, HttpResponse  # noqa: E402
from django.urls import path  # noqa: E402

BODY = b"x" * 200


class Line(models.Model):
    id = models.UUIDField(primary_key=True)
    device = models.IntegerField()
    seq = models.IntegerField()
    payload = models.CharField(max_length=200)

    class Meta:
        app_label = "floor"

    def __str__(self) -> str:
        return str(self.id)


def insert(request: HttpRequest) -> HttpResponse:
    Line.objects.create(id=uuid.uuid4(), device=7, seq=42, payload="y" * 160)
    return HttpResponse(BODY, headers={"Content-Length": "200"})


def insert_in_turn(request: HttpRequest) -> HttpResponse:
    lock = os.open(f"{NAME}.lock", os.O_RDWR | os.O_CREAT)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX)
        return insert(request)
    finally:
        os.close(lock)


insert.csrf_exempt = insert_in_turn.csrf_exempt = True
urlpatterns = [path("w", insert), path("l", insert_in_turn)]
if BESIDE:
    from django.urls import include

    urlpatterns.append(path("", include(settings.ROOT_URLCONF)))
    settings.ROOT_URLCONF = __name__
    # The way that a push takes, and what the product does after a request.
    meets.wsgi.SHORT_WAY |= {"/w", "/l"}
    application = meets.wsgi.application
else:
    application = get_wsgi_application()

if __name__ == "__main__":
    with connection.schema_editor() as editor:
        editor.create_model(Line)
