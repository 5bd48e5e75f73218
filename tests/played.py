"""Play an event through the officials' functions once in a run of tests; after that write down the same rows.

Playing ninety trials takes a second, and many tests look at the same end of the same event. What playing does is
tested in `tests/meets/running`; here it is only the way to get there.
"""

from collections.abc import Callable, Hashable
from typing import Any

from meets.models import Event, LogRow

_KNOWN: dict[Hashable, list[dict[str, Any]]] = {}
COPIED = ("rev", "kind", "values", "supersedes", "recorder", "by", "reason", "at")


def once(event: Event, play: Callable[[], object], *about: Hashable) -> None:
    """Bring the log of `event` to where `play` brings it. `about`: whatever else than log and entries decides that.

    `play` may only add rows to the log of this event.
    """
    meet = event.meet
    keys = [str(pk) for pk in event.entries.order_by("pk").values_list("pk", flat=True)]
    entries = tuple(event.entries.order_by("pk").values_list("bib", "string", "guest", "status", "board_cm"))
    names = {key: f"entry {number}" for number, key in enumerate(keys)}
    before = _rows(event, names)
    rules = (event.discipline, meet.rule_set, str(meet.rule_changes), str(event.rule_changes), meet.unit)
    case = (about, rules, entries, tuple(map(str, before)))
    if case not in _KNOWN:
        play()
        played = _rows(event, names)[len(before) :]
        assert not any(row["supersedes"] for row in played)  # what it names may have another id next time
        _KNOWN[case] = played
        return
    named = {name: key for key, name in names.items()}
    LogRow.objects.bulk_create(LogRow(event=event, **_with_keys(row, named)) for row in _KNOWN[case])


def _rows(event: Event, names: dict[str, str]) -> list[dict[str, Any]]:
    return [_with_keys(row, names) for row in event.log.order_by("rev").values(*COPIED)]


def _with_keys(row: dict[str, Any], keys: dict[str, str]) -> dict[str, Any]:
    return row | {"values": _renamed(row["values"], keys)}


def _renamed(value: Any, keys: dict[str, str]) -> Any:
    if isinstance(value, dict):
        return {keys.get(name, name): _renamed(inner, keys) for name, inner in value.items()}
    if isinstance(value, list):
        return [_renamed(inner, keys) for inner in value]
    return keys.get(value, value) if isinstance(value, str) else value
