"""Phones that deliver at the same moment to one database, each over its own connection.

A program of its own where the database is a file of SQLite: `python -m tests.meets.pit.sync.crowd deliver`, `count`
or `wait`, with DATABASE_URL naming a new file, says what came of it.
"""

import json
import sqlite3
import sys
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor

BIBS = ("1", "2", "3")


def a_meet_with_phones():
    """An event of three, drawn, and phones of two recorders and a gauge with twelve entries each."""
    from meets.running import actions
    from tests.factories import EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
    from tests.meets.pit.conftest import DESK_BY
    from tests.meets.pit.sync.phone import Phone, key_of

    event = EventFactory(discipline="LJ")
    for bib in BIBS:
        EntryFactory(event=event, bib=bib, seed_mark=None)
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    phones = [Phone(session, role) for role in ("recorder", "second", "gauge")]
    for round in range(1, 5):
        for bib in BIBS:
            for phone in phones[:2]:
                phone.jump(event, bib, round)
            phones[2].write(event, "wind_read", {"entry": key_of(event, bib), "round": round, "tenths": 3})
    return event, phones


def deliver_at_once(phones, *, each: int, seen) -> Counter:
    """Every phone's entries, one at a time, by several threads at once; `seen(id)` looks from outside afterwards."""
    from django.db import connections

    def work(phone) -> Counter:
        said = Counter()
        try:
            for entry in phone.said:
                (result,) = phone.send(entry).results
                said[result.status] += 1
                said["stored for all to see"] += seen(entry["id"])
        finally:
            connections.close_all()
        return said

    crowd = [phone for phone in phones for _ in range(each)]
    with ThreadPoolExecutor(len(crowd)) as pool:
        return sum(pool.map(work, crowd), Counter())


def deliver() -> str:
    from django.core.management import call_command
    from django.db import connection

    from meets.models import Delivery

    call_command("migrate", verbosity=0)
    event, phones = a_meet_with_phones()
    file = str(connection.settings_dict["NAME"])

    def seen(id: str) -> bool:
        outside = sqlite3.connect(file)
        try:
            found = outside.execute("SELECT 1 FROM meets_logrow WHERE id = ?", [id.replace("-", "")]).fetchone()
        finally:
            outside.close()
        return found is not None

    said = deliver_at_once(phones, each=3, seen=seen)
    revs = list(event.log.order_by("rev").values_list("rev", flat=True))
    return json.dumps({"said": said, "revs": revs, "deliveries": Delivery.objects.count()})


def count() -> str:
    """Several threads count up a number that is read, looked at and written: with the lock none is overtaken."""
    from meets.running.write_lock import one_writer

    counted = [0]

    def work(_thread: int) -> None:
        for _ in range(20):
            with one_writer(), one_writer():
                before = counted[0]
                time.sleep(0.0001)
                counted[0] = before + 1

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(work, range(4)))
    return str(counted[0])


def wait() -> str:
    from django.db import OperationalError

    from meets.running.write_lock import one_writer

    try:
        with one_writer(longest_wait_s=0.05):
            return "got it"
    except OperationalError as problem:
        return str(problem)


if __name__ == "__main__":
    import django

    django.setup()
    sys.stdout.write({"deliver": deliver, "count": count, "wait": wait}[sys.argv[1]]())
