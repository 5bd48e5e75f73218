"""Published versions and where they are found, for every page that shows one, on the server or as a file."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.urls import reverse

from meets.models import Event, Meet, Publication
from meets.publishing.change_words import in_sentences
from meets.publishing.reads import versions_of
from meets.publishing.sheet import SHORT_HASH, posting_words, status_word
from meets.publishing.shown_now import Athletes, as_shown_now, athletes_in

Document = Mapping[str, object]
ENDINGS = {"pdf": "application/pdf", "csv": "text/csv; charset=utf-8", "json": "application/json"}


@dataclass(frozen=True)
class Version:
    """A published version and where it is found. `now`: nothing newer takes its place.

    `names_less`: it named somebody more fully than is shown today, so the public has its page without, and no files.
    """

    number: int
    status: str
    word: str
    posted: str
    reason: str
    hash: str
    sha256: str
    changes: tuple[str, ...]
    now: bool
    address: str
    files: tuple[tuple[str, str], ...]
    names_less: bool = False


def versions_page(meet: Meet, event: Event | None) -> list[Version]:
    """Every version, the newest first."""
    return _shown(meet, versions_of(meet, event), _athletes(meet, event))[::-1]


def _athletes(meet: Meet, event: Event | None) -> Athletes:
    return athletes_in(meet, event) if event else {}


def chosen(meet: Meet, event: Event | None, number: int | None) -> tuple[list[Version], Version | None, Document]:
    """Every version, the one that is asked for, None if there is none, and its document as it is shown now."""
    stored = versions_of(meet, event)
    athletes = _athletes(meet, event)
    found = _shown(meet, stored, athletes)
    wanted = [at for at, one in enumerate(found) if number is None or one.number == number][-1:]
    if not wanted:
        return found, None, {}
    return found, found[wanted[0]], as_shown_now(json.loads(stored[wanted[0]].document), meet, athletes)


def _shown(meet: Meet, stored: Sequence[Publication], athletes: Athletes) -> list[Version]:
    found = []
    for publication in stored:
        document = json.loads(publication.document)
        less = as_shown_now(document, meet, athletes) is not document
        found.append(version_shown(meet, publication, document, now=publication is stored[-1], names_less=less))
    return found


def version_shown(
    meet: Meet, publication: Publication, document: Document, *, now: bool, names_less: bool = False
) -> Version:
    where = [meet.slug, *([publication.event_id] if publication.event_id else []), publication.version]
    page, file = ("version", "version_file") if publication.event_id else ("teams_version", "teams_version_file")
    return Version(
        number=publication.version,
        status=publication.status,
        word=status_word(publication.status),
        posted=posting_words(document),
        reason=publication.reason,
        hash=publication.sha256[:SHORT_HASH],
        sha256=publication.sha256,
        changes=tuple(in_sentences(document["changes"])),
        now=now,
        address=reverse(f"results:{page}", args=where),
        files=tuple((ending.upper(), reverse(f"results:{file}", args=[*where, ending])) for ending in ENDINGS),
        names_less=names_less,
    )
