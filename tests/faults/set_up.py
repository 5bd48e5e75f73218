"""Makes a meet in the database that the environment names, and says in JSON what phones need: run as a program."""

import json
import sys
from datetime import UTC, datetime

EVENTS, ATHLETES = 2, 24


def main() -> None:
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connections
    from django.utils import timezone

    call_command("migrate", verbosity=0, skip_checks=True)
    from meets.pit.keys.actions import Wanted, make_keys
    from meets.running import actions
    from tests.factories import EntryFactory, EventFactory, MeetFactory, PitSessionFactory, SessionPartFactory

    meet = MeetFactory(date=timezone.localdate(), is_public=True)
    session = PitSessionFactory(pit__meet=meet)
    events = {}
    for number in range(EVENTS):
        event = EventFactory(meet=meet, discipline="LJ", category=("girls", "boys")[number], boards_cm=[100])
        entries = EntryFactory.create_batch(ATHLETES, event=event, seed_mark=None, board_cm=None)
        actions.draw(event_id=event.pk, seed=7, by="D. Esk", recorder="desk", now=datetime.now(UTC))
        SessionPartFactory(event=event, session=session)
        events[event.pk] = [str(entry.pk) for entry in entries]
    wanted = [Wanted(session, (role,)) for role in ("recorder", "second")]
    keys = make_keys(meet=meet, wanted=wanted, by="D. Esk", now=timezone.now())
    connections.close_all()
    said = {
        "meet": meet.pk,
        "slug": meet.slug,
        "session": session.pk,
        "events": events,
        "keys": [made.secret for made in keys],
    }
    sys.stdout.write(json.dumps(said))


if __name__ == "__main__":
    main()
