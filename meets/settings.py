"""Settings of the product: one plain file that reads the environment and imports nothing of ours.

Every variable has a default that runs on one laptop. A wrong value is refused by name.
"""

import os
import secrets
from pathlib import Path

import dj_database_url
import font_roboto
from django.core.exceptions import ImproperlyConfigured
from django.utils.translation import gettext_lazy as _

BASE_DIR = Path(__file__).resolve().parent.parent


def _yes_or_no(name: str, default: bool) -> bool:
    value = os.environ.get(name, "").strip().lower()
    if value in ("", "yes", "no"):
        return default if not value else value == "yes"
    raise ImproperlyConfigured(f"{name}={value!r} is not understood; allowed: yes, no")


def _secret_key() -> str:
    """The key from the environment, else one made once and kept beside the database."""
    if key := os.environ.get("NEAREST_BREAK_SECRET_KEY"):
        return key
    kept = DATA_DIR / "secret_key"
    if not kept.exists():
        DATA_DIR.mkdir(parents=True, exist_ok=True)
        kept.write_text(secrets.token_urlsafe(50), encoding="ascii")
        kept.chmod(0o600)
    return kept.read_text(encoding="ascii").strip()


DATA_DIR = Path(os.environ.get("NEAREST_BREAK_DATA", BASE_DIR / ".data"))
DEBUG = _yes_or_no("NEAREST_BREAK_DEBUG", default=False)
HTTPS = _yes_or_no("NEAREST_BREAK_HTTPS", default=False)
# A laptop at the field speaks HTTPS itself and may speak plain HTTP tomorrow, under the same address.
FIELD = _yes_or_no("NEAREST_BREAK_FIELD", default=False)
NEAREST_BREAK_ADDRESS = os.environ.get("NEAREST_BREAK_ADDRESS", "").strip().rstrip("/")
SECRET_KEY = _secret_key()
ALLOWED_HOSTS = os.environ.get("NEAREST_BREAK_HOSTS", "localhost,127.0.0.1,[::1]").split(",")
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS if HTTPS and host != "*"]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_tables2",
    "django_filters",
    "django_htmx",
    "athletes",
    "meets",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    # Before the server of static files: on a field each kilobyte of a script is waited for.
    "django.middleware.gzip.GZipMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]

ROOT_URLCONF = "meets.urls"
WSGI_APPLICATION = "meets.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]


def _database() -> dict[str, object]:
    """SQLite beside the data by default; `DATABASE_URL` names another (PostgreSQL)."""
    database = dict(
        dj_database_url.parse(
            os.environ.get("DATABASE_URL", f"sqlite:///{(DATA_DIR / 'meets.sqlite3').as_posix()}"),
            conn_max_age=60,
        )
    )
    if database["ENGINE"] == "django.db.backends.sqlite3":
        # IMMEDIATE: a transaction that reads first and writes later would be refused at once when another
        # writes. FULL: an answered trial survives a power cut. recursive_triggers: INSERT OR REPLACE must
        # not slip past the trigger that refuses deleting log rows. No checkpoints by themselves: `field.journal`
        # makes them while nobody writes.
        database["OPTIONS"] = {
            "transaction_mode": "IMMEDIATE",
            "timeout": 10,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA recursive_triggers=ON; "
            "PRAGMA wal_autocheckpoint=0;",
        }
    return database


DATABASES = {"default": _database()}

LANGUAGE_CODE = os.environ.get("NEAREST_BREAK_LANGUAGE", "en-gb")
LANGUAGES = [("en-gb", _("English"))]
LOCALE_PATHS = [BASE_DIR / "meets" / "locale"]
TIME_ZONE = os.environ.get("NEAREST_BREAK_TIME_ZONE", "Europe/London")
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # the server of static files warns of a folder that is not there
# Pages and paper share one face, from the package that sheets embed.
STATICFILES_DIRS = [("fonts", font_roboto.font_directory)]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = True

MAIL_PORTS = {"starttls": 587, "tls": 465, "none": 25}


def _mail_security() -> str:
    security = os.environ.get("NEAREST_BREAK_MAIL_SECURITY", "").strip().lower() or "starttls"
    if security not in MAIL_PORTS:
        expected = ", ".join(MAIL_PORTS)
        raise ImproperlyConfigured(f"NEAREST_BREAK_MAIL_SECURITY={security!r} is not understood; allowed: {expected}")
    return security


def _mail_server(default_port: int) -> tuple[str, int]:
    """Name and port; an empty name where there is none."""
    server = os.environ.get("NEAREST_BREAK_MAIL_SERVER", "").strip()
    host, _colon, port = server.partition(":")
    if port and not (port.isascii() and port.isdecimal() and 0 < int(port) < 65536):
        raise ImproperlyConfigured(
            f"NEAREST_BREAK_MAIL_SERVER={server!r} is not understood; expected name or name:port"
        )
    return host, int(port or default_port)


def _mail_from(needed: bool) -> str:
    sender = os.environ.get("NEAREST_BREAK_MAIL_FROM", "").strip()
    if needed and "@" not in sender:
        raise ImproperlyConfigured(f"NEAREST_BREAK_MAIL_FROM={sender!r} is no address; expected who letters come from")
    return sender or "nearest-break@localhost"


# Letters are kept as files beside the data until a mail server is named.
_SECURITY = _mail_security()
EMAIL_HOST, EMAIL_PORT = _mail_server(MAIL_PORTS[_SECURITY])
EMAIL_USE_TLS, EMAIL_USE_SSL = _SECURITY == "starttls", _SECURITY == "tls"
EMAIL_HOST_USER = os.environ.get("NEAREST_BREAK_MAIL_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("NEAREST_BREAK_MAIL_PASSWORD", "")
EMAIL_TIMEOUT = 20  # for each answer of the server
EMAIL_FILE_PATH = DATA_DIR / "mail"
EMAIL_BACKEND = f"meets.publishing.packs.{'mail_server' if EMAIL_HOST else 'mail_files'}.EmailBackend"
DEFAULT_FROM_EMAIL = _mail_from(needed=bool(EMAIL_HOST))

LOGIN_URL = "desk:sign_in"
LOGIN_REDIRECT_URL = "desk:meets"
LOGOUT_REDIRECT_URL = "desk:sign_in"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

# Entry files are read whole: at most 5 MB (entries.md in the help pages says so to people).
DATA_UPLOAD_MAX_MEMORY_SIZE = 6 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000

SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
# A browser that was told so would never again speak plain HTTP with a field laptop, nor let anybody past a warning.
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS and not FIELD else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS and not FIELD
SECURE_REFERRER_POLICY = "same-origin"
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS and not FIELD else None
X_FRAME_OPTIONS = "DENY"
DJANGO_TABLES2_TEMPLATE = "base/_table.html"
