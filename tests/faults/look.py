"""What a database holds of a meet and what its state is; and the state of a ledger replayed: run as a program.

Reads the ledger, a list of entries, as JSON from its input.
"""

import json
import sys


def folded(state) -> dict[str, object]:
    """What an event comes to, apart from the order in which its rows came."""
    entries = {}
    for one in state.entries:
        turns = [
            (str(turn.turn), repr(turn.trial), turn.disputed, turn.wind_disputed, sorted(map(repr, turn.said)))
            for turn in one.turns
        ]
        entries[one.line.entry] = {"turns": turns, "best": one.best, "status": one.status}
    places = [(placed.entry, placed.place) for placed in state.places]
    return {"entries": entries, "places": places, "stage": str(state.stage)}


def main() -> None:
    import django

    django.setup()
    from django.db import connection

    from meets.models import Delivery, Event, LogRow, ServerEpoch, SetAside
    from meets.running.states import entries_of, rows_of, rules_of, sand_cm_of, start_lines, state_of
    from scoring.event import replay
    from scoring.facts import from_plain
    from scoring.log import Row
    from scoring.marks import Unit

    ledger = json.load(sys.stdin)
    state, expected = {}, {}
    delivered = {str(key) for key in Delivery.objects.values_list("pk", flat=True)}
    for event in Event.objects.select_related("meet"):
        state[event.pk] = folded(state_of(event))
        rows = [row for row in rows_of(event) if row.id not in delivered]
        last = max((row.rev for row in rows), default=0)
        written = [entry for entry in ledger if entry["event"] == event.pk]
        rows += [
            Row(
                id=entry["id"],
                rev=last + number,
                fact=from_plain(entry["kind"], entry["values"]),
                supersedes=tuple(entry["supersedes"]),
                recorder={"recorder": "pit", "second": "second recorder"}[entry["role"]],
                by=entry["official"],
                reason=entry["reason"],
            )
            for number, entry in enumerate(written, 1)
        ]
        lines = start_lines(entries_of(event))
        again = replay(lines, rows, rules_of(event), unit=Unit(event.meet.unit), sand_cm=sand_cm_of(event))
        expected[event.pk] = folded(again)
    sound = True
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            sound = cursor.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    found = {
        "deliveries": [
            {"id": str(one.pk), "status": one.status, "body": json.loads(one.body), "problem": one.problem}
            for one in Delivery.objects.all()
        ],
        "log": [str(key) for key in LogRow.objects.exclude(recorder="desk").values_list("pk", flat=True)],
        "set_aside": SetAside.objects.count(),
        "lives": ServerEpoch.objects.count(),
        "state": state,
        "expected": expected,
        "sound": sound,
    }
    json.dump(found, sys.stdout)


if __name__ == "__main__":
    main()
