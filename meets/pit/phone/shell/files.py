"""What a phone keeps to open its page without signal, and the version of it: other content, other version."""

import hashlib
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.templatetags.static import static

from meets.pit.phone.shell.words import WORDS

FOLDER = "pit/phone"
# Loaded by the page besides the scripts; the faces are named in tokens.css.
BESIDE = (
    "base/mark.svg",
    "base/tokens.css",
    "base/page.css",
    "base/parts.css",
    "pit/pit.css",
    "fonts/Roboto-Regular.ttf",
    "fonts/Roboto-Medium.ttf",
    "fonts/Roboto-Bold.ttf",
)
WORKER = "pit/phone/worker.js"
PAGES = ("pit/phone.html", "pit/phone_frame.html")


def names() -> list[str]:
    """Static files of the page, by name."""
    own = sorted(path.name for path in _path(WORKER).parent.iterdir() if path.suffix in (".js", ".css"))
    return [*(f"{FOLDER}/{name}" for name in own if f"{FOLDER}/{name}" != WORKER), *BESIDE]


def scripts() -> list[str]:
    """Addresses of the modules that the page loads, to be fetched at once instead of one after the other."""
    return [static(name) for name in names() if name.endswith(".js") and not name.endswith("_worker.js")]


def addresses() -> list[str]:
    return [static(name) for name in names()]


def worker_text() -> str:
    return _path(WORKER).read_text(encoding="utf-8")


def version() -> str:
    """Twelve digits that name the content of page, scripts, faces and words."""
    templates = [settings.BASE_DIR / "templates" / name for name in PAGES]
    paths = [*map(_path, names()), _path(WORKER), *templates]
    stamps = tuple((str(path), path.stat().st_mtime_ns, path.stat().st_size) for path in paths if path.exists())
    return _version(stamps, "\n".join(f"{key} {words}" for key, words in WORDS.items()))


@lru_cache(maxsize=8)
def _version(stamps: tuple[tuple[str, int, int], ...], words: str) -> str:
    content = hashlib.sha256(words.encode())
    for path, _changed, _size in stamps:
        content.update(hashlib.sha256(Path(path).read_bytes()).digest())
    return content.hexdigest()[:12]


def _path(name: str) -> Path:
    return Path(finders.find(name))
