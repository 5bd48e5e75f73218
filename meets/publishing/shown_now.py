"""What of a published result is shown today: nobody is named in it more fully than meet and athlete now allow.

A version is never changed. A page of it can leave names out; its files cannot, as they are what the hash was made of.
"""

import json
import re
from collections.abc import Iterable, Mapping

from athletes.models import Athlete
from meets.models import Entry, Event, Meet, Publication
from meets.running.public_names import public_name

Document = Mapping[str, object]
Athletes = Mapping[str, Athlete]
WITH_INITIAL = re.compile(r".+\s\S\.?")


def athletes_in(meet: Meet, event: Event | None = None) -> dict[str, Athlete]:
    """Everybody entered, by the key that documents have."""
    entries = Entry.objects.filter(event__meet=meet).select_related("athlete")
    return {str(entry.pk): entry.athlete for entry in (entries.filter(event=event) if event else entries)}


def as_shown_now(document: Document, meet: Meet, athletes: Athletes) -> Document:
    """The same object where nothing has to be left out, as in team standings: they name no pupil."""
    if document["kind"] != "result":
        return document
    lines = [_line(line, meet, athletes.get(line["entry"])) for line in document["lines"]]
    return document if lines == document["lines"] else {**document, "lines": lines}


def hands_out(publication: Publication) -> bool:
    """Whether anybody may have the files of this version."""
    if publication.event is None:
        return True
    document, meet = json.loads(publication.document), publication.meet
    return as_shown_now(document, meet, athletes_in(meet, publication.event)) is document


def naming_more(meet: Meet, publications: Iterable[Publication]) -> set[int | None]:
    """The events of those of them that name somebody more fully than is shown now."""
    athletes = athletes_in(meet)
    documents = [(publication.event_id, json.loads(publication.document)) for publication in publications]
    return {event for event, whole in documents if as_shown_now(whole, meet, athletes) is not whole}


def _line(line: Document, meet: Meet, athlete: Athlete | None) -> Document:
    name = name_now(line["name"], meet, athlete)
    return line if name == line["name"] else {**line, "name": name, "year": line["year"] if name else ""}


def name_now(name: str, meet: Meet, athlete: Athlete | None) -> str:
    """The name as it was published, or less. Without an athlete the meet's choice alone is known."""
    if not name or meet.public_names == Meet.PublicNames.BIB or (athlete is not None and athlete.not_public):
        return ""
    if meet.public_names == Meet.PublicNames.FULL or _has_initial_only(name, athlete):
        return name
    if athlete is not None:
        return public_name(athlete, meet)
    first, *others = name.split()
    return f"{first} {others[-1][:1]}." if others else first


def _has_initial_only(name: str, athlete: Athlete | None) -> bool:
    return WITH_INITIAL.fullmatch(name) is not None and (athlete is None or name != str(athlete))
