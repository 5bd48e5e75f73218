"""An event in the database that was played to its end from a random seed, as it is written at the pit."""

import json

from meets.models import LogRow
from meets.publishing.canonical import file_text
from meets.publishing.document import draft_of, result_document
from meets.running.states import rules_of, start_lines
from tests.build import played
from tests.factories import START, EntryFactory, EventFactory, LogRowFactory, MeetFactory, SchoolFactory

LOG_OF = {"by": "O. Rganiser", "reason": "", "protests_until": None, "before": None}


def played_event(*, seed, entries, rule_set="international", guests=0, rule_changes=None, **of_event):
    """`guests` of the entries compete as guests; every third entry is a B string."""
    meet = of_event.pop("meet", None) or MeetFactory(rule_set=rule_set)
    event = EventFactory(meet=meet, discipline="LJ", rule_changes=rule_changes or {}, **of_event)
    schools = SchoolFactory.create_batch(3)
    entered = [
        EntryFactory(
            event=event,
            bib=str(number),
            guest=number <= guests,
            string="B" if number % 3 == 0 else "A",
            athlete__school=schools[number % 3],
        )
        for number in range(1, entries + 1)
    ]
    lines = start_lines(entered)
    keys = [line.entry for line in lines]
    half = (len(keys) + 1) // 2
    rows = played(lines, [flight for flight in (keys[:half], keys[half:]) if flight], rules_of(event), seed)
    LogRow.objects.bulk_create(LogRowFactory.build(event=event, rev=row.rev, fact=row.fact) for row in rows)
    return event


def document_of(event, **values):
    asked = {"now": START, "status": "provisional", "version": 1, **LOG_OF, **values}
    return result_document(draft_of(event, asked["now"]), **asked)


def file_of(document):
    return file_text(document).encode()


def read(file):
    return json.loads(file)["document"]
