"""What stands in the pack of a school, from published documents and the full names of its own athletes.

The content knows no clock: made again from the same documents it is the same.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from athletes.models import School
from meets.models import Entry, Meet, Publication
from meets.publishing.document import about_meet
from meets.publishing.packs.still_open import still_open
from meets.records.reads import GoingOn

Document = Mapping[str, object]
FORMAT = 1
FINAL = "final"
QUIET = ("version", "published_at", "published_by", "declared_by", "reason", "address", "sha256")
"""What of a version is no news to a school."""
OF_THE_PACK = ("version", "made_at", "since", "changes")
OF_THE_VERSION = (*QUIET[:-1], "status", "protests_until", "rounds")


@dataclass(frozen=True)
class Published:
    """A version as it was published, with its document read once."""

    row: Publication
    document: Document


@dataclass(frozen=True)
class Sources:
    """Everything that packs of a meet are made of. `entries` by the key that documents have."""

    meet: Meet
    results: tuple[Published, ...]
    standings: Published | None
    entries: Mapping[str, Entry]
    events: Mapping[int, str]
    going_on: GoingOn | None = None

    @property
    def documents(self) -> dict[str, Document]:
        """By hash."""
        published = (*self.results, *((self.standings,) if self.standings else ()))
        return {one.row.sha256: one.document for one in published}


def content_of(school: School, sources: Sources) -> dict[str, object]:
    """The pack without its version."""
    events = [event for result in sources.results if (event := _own_event(school, result, sources))]
    return {
        "kind": "pack",
        "format": FORMAT,
        "meet": about_meet(sources.meet),
        "school": {"code": school.code, "name": school.name},
        "events": events,
        "not_published": _not_published(school, sources),
        "team": _team(school, sources.standings),
        "next_meet": _next_meet(events, sources),
        "open": still_open(events),
    }


def content_in(pack: Mapping[str, object]) -> dict[str, object]:
    """The content of a pack that was stored with its version."""
    return {key: value for key, value in pack.items() if key not in OF_THE_PACK}


def hashes_in(pack: Mapping[str, object]) -> set[str]:
    """Of the published documents that a pack was made from."""
    return {event["sha256"] for event in pack["events"]} | ({pack["team"]["sha256"]} if pack["team"] else set())


def compared(pack: Mapping[str, object]) -> dict[str, object]:
    """What of a pack a school is told of when it changes: all but how often and when others were published.

    Official and amended count alike: an amended result that leaves a school's own lines as they were is no news to it.
    """
    events = [
        {key: value for key, value in event.items() if key not in QUIET}
        | {"status": event["status"] if event["status"] == Publication.Status.PROVISIONAL else FINAL}
        for event in pack["events"]
    ]
    team = pack["team"] and {key: value for key, value in pack["team"].items() if key not in (*QUIET, "status")}
    return {**content_in(pack), "events": events, "team": team}


def schools_in(sources: Sources) -> list[School]:
    """Every school with somebody entered or in a result, by name."""
    jumped = {line["entry"] for result in sources.results for line in result.document["lines"]}
    found = {
        entry.athlete.school_id: entry.athlete.school
        for key, entry in sources.entries.items()
        if entry.status != Entry.Status.WITHDRAWN or key in jumped
    }
    return sorted(found.values(), key=lambda school: (school.name.casefold(), school.pk))


def _own_event(school: School, result: Published, sources: Sources) -> dict[str, object] | None:
    document = result.document
    lines = [
        {**line, "name": _full_name(line, sources)} for line in document["lines"] if _is_own(line, school, sources)
    ]
    if not lines:
        return None
    return {
        "number": document["event"]["number"],
        "name": document["event"]["name"],
        "discipline": document["event"]["discipline"],
        **{key: document[key] for key in OF_THE_VERSION},
        "sha256": result.row.sha256,
        "protest": any(trial["held"] for line in document["lines"] for trial in line["series"]),
        "lines": lines,
    }


def _is_own(line: Document, school: School, sources: Sources) -> bool:
    """By the school that the athlete belongs to; the code of the document where nobody knows the entry any more."""
    entry = sources.entries.get(line["entry"])
    return entry.athlete.school_id == school.pk if entry else line["school"]["code"] == school.code


def _full_name(line: Document, sources: Sources) -> str:
    entry = sources.entries.get(line["entry"])
    return str(entry.athlete) if entry else line["name"]


def _not_published(school: School, sources: Sources) -> list[str]:
    """Events in which the school has somebody and of which there is no result yet, in the order of the programme."""
    published = {result.row.event_id for result in sources.results}
    entered = {
        entry.event_id
        for entry in sources.entries.values()
        if entry.athlete.school_id == school.pk and entry.status != Entry.Status.WITHDRAWN
    }
    return [name for number, name in sources.events.items() if number in entered - published]


def _team(school: School, standings: Published | None) -> dict[str, object] | None:
    if standings is None:
        return None
    document = standings.document
    own = next((one for one in document["schools"] if one["code"] == school.code), None)
    if own is None:
        return None
    return {
        "place": own["place"],
        "shared": own["shared"],
        "points": own["points"],
        "schools": len(document["schools"]),
        "version": document["version"],
        "status": document["status"],
        "published_at": document["published_at"],
        "sha256": standings.row.sha256,
    }


def _next_meet(events: Sequence[Mapping[str, object]], sources: Sources) -> dict[str, object] | None:
    """Who of the school goes through; None where there is no next meet."""
    following = sources.going_on
    if following is None:
        return None
    found = {one.entry: one for going in following.schools.values() for one in going}
    going = [
        {
            "entry": line["entry"],
            "bib": line["bib"],
            "name": line["name"],
            "event": event["name"],
            "why": found[line["entry"]].says,
            "provisional": event["status"] == Publication.Status.PROVISIONAL,
        }
        for event in events
        for line in event["lines"]
        if line["entry"] in found
    ]
    return {
        "name": following.name,
        "date": following.date.isoformat(),
        "venue": following.venue,
        "reply_by": following.reply_by.isoformat() if following.reply_by else "",
        "reply_to": following.reply_to,
        "how": following.how,
        "going": going,
    }
