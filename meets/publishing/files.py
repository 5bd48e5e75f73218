"""A published version as a file: PDF and CSV as stored, JSON with its hash."""

import json

from meets.models import Publication
from meets.publishing.canonical import file_text
from meets.sheets.printing import safe_name


def content_of(publication: Publication, ending: str) -> bytes:
    if ending == "pdf":
        return bytes(publication.pdf)
    if ending == "csv":
        return publication.csv.encode()
    return file_text(json.loads(publication.document)).encode()


def file_name(publication: Publication, ending: str) -> str:
    """A name that says what it is: u15-girls-long-jump-result-2.pdf."""
    about = publication.event.name if publication.event_id else "team-standings"
    return safe_name((about, "result" if publication.event_id else "", publication.version), f".{ending}")
