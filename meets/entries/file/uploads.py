"""Uploaded files between upload and acceptance: kept beside the data, known to one session alone, for a day."""

from __future__ import annotations

import re
import secrets
from collections.abc import MutableMapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings

KEPT_FOR = timedelta(days=1)
KEPT_PER_SESSION = 10
SESSION_KEY = "uploads"
TOKEN = re.compile(r"[\w-]{20,60}")
LONGEST_NAME = 80

Session = MutableMapping[str, Any]


@dataclass(frozen=True, slots=True)
class Upload:
    """A kept file: the upload itself, or after acceptance the list of what was not stored."""

    token: str
    name: str
    data: bytes
    stored: int | None = None
    athletes_added: int = 0
    left: int = 0


def keep(session: Session, *, meet_pk: int, name: str, data: bytes, now: datetime) -> str:
    """Keep an upload and give its token; files older than a day go."""
    remove_old(now)
    token = secrets.token_urlsafe(24)
    _write(token, data)
    uploads = session.get(SESSION_KEY, {})
    for old in list(uploads)[: max(0, len(uploads) - KEPT_PER_SESSION + 1)]:
        del uploads[old]
        _path(old).unlink(missing_ok=True)
    uploads[token] = {"meet": meet_pk, "name": tidy_file_name(name)}
    session[SESSION_KEY] = uploads
    return token


def find(session: Session, *, meet_pk: int, token: str) -> Upload | None:
    """The upload of this session for this meet; None for anybody else's, and once it is gone."""
    about = session.get(SESSION_KEY, {}).get(token)
    if about is None or about["meet"] != meet_pk or not TOKEN.fullmatch(token):
        return None
    try:
        data = _path(token).read_bytes()
    except FileNotFoundError:
        return None
    done = about.get("done", {})
    return Upload(token, about["name"], data, **done)


def finish(session: Session, *, token: str, problems: bytes, stored: int, athletes_added: int, left: int) -> None:
    """Put the list of what was not stored in the place of the upload."""
    _write(token, problems)
    uploads = session[SESSION_KEY]
    uploads[token]["done"] = {"stored": stored, "athletes_added": athletes_added, "left": left}
    session[SESSION_KEY] = uploads


def forget(session: Session, *, token: str) -> None:
    uploads = session.get(SESSION_KEY, {})
    if uploads.pop(token, None) is not None:
        session[SESSION_KEY] = uploads
        _path(token).unlink(missing_ok=True)


def remove_old(now: datetime) -> int:
    """Remove what was kept for more than a day, whoever left it; says how many files."""
    removed = 0
    for path in _folder().glob("*"):
        if path.stat().st_mtime < (now - KEPT_FOR).timestamp():
            path.unlink(missing_ok=True)
            removed += 1
    return removed


def tidy_file_name(name: str) -> str:
    """The last part of a name, without signs that no page should show."""
    last = re.split(r"[\\/]", name)[-1]
    return re.sub(r"[^\w .()+,&'-]", "_", last).strip()[-LONGEST_NAME:] or "entries"


def _write(token: str, data: bytes) -> None:
    path = _path(token)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.parent.chmod(0o700)
    path.write_bytes(data)
    path.chmod(0o600)


def _path(token: str) -> Path:
    return _folder() / token


def _folder() -> Path:
    return Path(settings.DATA_DIR) / "uploads"
