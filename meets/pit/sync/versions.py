"""Whether anything in a session has changed, told so cheaply that every phone may ask all the time."""

import hashlib
from collections import defaultdict

from meets.models import Entry, PitClock, PitKey, SessionPart
from meets.running.log_end import LOG_END, log_end

OF_ENTRY = ("event", "pk", "bib", "string", "status", "guest", "board_cm", "seed_mark", "athlete__last_name")
OF_EVENT = ("name", "boards_cm", "rule_changes", "meet__rule_set", "meet__rule_changes", "meet__unit")


def versions_of(key: PitKey) -> dict[str, str]:
    """Session id -> version, of the sessions that a key covers. Another version: ask for the state again."""
    covered = {"session": key.session_id} if key.session_id else {"event": key.event_id}
    sessions = SessionPart.objects.filter(**covered).values("session")
    parts = SessionPart.objects.filter(session__in=sessions).annotate(**log_end("event")).order_by("pk")
    own = ("session", "event", "flight", "block", "position")
    said: dict[int, list[object]] = defaultdict(list)
    events: dict[int, set[int]] = defaultdict(set)
    of_event = [*(f"event__{name}" for name in OF_EVENT), *LOG_END]
    for row in parts.values_list(*own, *of_event):
        said[row[0]].append(row)
        events[row[1]].add(row[0])
    for row in Entry.objects.filter(event__in=events).order_by("pk").values_list(*OF_ENTRY):
        for session in events[row[0]]:
            said[session].append(row)
    for row in PitClock.objects.filter(session__in=said).values_list("session", "turn", "started_at", "seconds"):
        said[row[0]].append(row)
    return {str(session): hashlib.sha256(repr(rows).encode()).hexdigest()[:16] for session, rows in said.items()}
