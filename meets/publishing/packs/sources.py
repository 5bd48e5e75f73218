"""What packs of a meet are made of, asked from the database in as many queries however many schools there are."""

import json

from meets.models import Entry, Meet
from meets.publishing.packs.content import Published, Sources
from meets.publishing.reads import latest
from meets.records.reads import qualifiers


def sources_of(meet: Meet) -> Sources:
    """The newest published documents, everybody entered, and who goes on to the next meet."""
    found = {event: Published(row, json.loads(row.document)) for event, row in latest(meet).items()}
    standings = found.pop(None, None)
    entries = Entry.objects.filter(event__meet=meet).select_related("athlete__school")
    return Sources(
        meet=meet,
        results=tuple(found.values()),
        standings=standings,
        entries={str(entry.pk): entry for entry in entries},
        events=dict(meet.events.values_list("pk", "name")),
        going_on=qualifiers(meet, [one.document for one in found.values()]),
    )
