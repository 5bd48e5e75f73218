"""Whether an event has moved on since a version of its result, from what is in memory: no database is asked."""

import json

from meets.models import Publication
from meets.publishing.differences import changes_between
from meets.publishing.document import written_rules
from meets.publishing.lines import add_points, line_from_log
from scoring.event import held_back
from scoring.marks import Unit
from scoring.state import EventState


def has_moved_on(published: Publication, state: EventState) -> bool:
    """Whether what was recorded since gives another result; a sheet that is only closed does not.

    What does not come from the log, as names and standards, is taken as it was published.
    """
    if published.log_version >= state.version:
        return False
    before, shown = json.loads(published.document), held_back(state)
    old = {line["entry"]: line for line in before["lines"]}
    if old.keys() != {placed.entry for placed in shown.places}:
        return True
    unit = Unit(before["meet"]["unit"])
    lines = [{**old[placed.entry], **line_from_log(shown, placed, unit)} for placed in shown.places]
    now = {**before, "rules": {"fields": written_rules(state.rules)}, "lines": lines}
    add_points(now)
    return bool(changes_between(before, now))
