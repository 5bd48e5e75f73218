"""Events for tests of records, jumped through the functions that officials use."""

from datetime import UTC, datetime, timedelta

from meets.models import Event
from meets.running import actions
from meets.running.reads import entries_of, state_of
from scoring.log import Turn
from tests.factories import EntryFactory, EventFactory, MeetFactory, RecordBookFactory, RecordFactory

NOW = datetime(2027, 6, 12, 11, 0, tzinfo=UTC)
LATER = NOW + timedelta(hours=2)
DESK = {"by": "A. Organiser", "recorder": "desk", "now": NOW}
PIT = {"by": "R. Corder", "recorder": "pit", "now": NOW}
KIND = {"discipline": "LJ", "category": "girls", "age_group": "U15"}


def event(bibs="1 2 3", *, rules="three-only", guests="", **meet) -> Event:
    """U15 girls long jump, drawn: nobody has a seed, so nothing is known of anybody."""
    found = EventFactory(meet=MeetFactory(rule_set=rules, **meet), name="U15 girls long jump", **KIND)
    for bib in bibs.split():
        EntryFactory(event=found, bib=bib, seed_mark=None, guest=bib in guests.split())
    actions.draw(event_id=found.pk, seed=1, **DESK)
    return found


def jump(found: Event, table: dict[str, str]) -> None:
    """Trials from a table of bib -> `5.43+1.4 x 5.40NWI`, round by round in the order of the draw."""
    entries = {entry.bib: str(entry.pk) for entry in found.entries.all()}
    trials = {entries[bib]: text.split() for bib, text in table.items()}
    while turns := [turn for turn in state_of(found).turns if len(trials.get(turn.turn.entry, ())) >= turn.turn.round]:
        turn = turns[0].turn
        text = trials[turn.entry][turn.round - 1]
        mark, wind = (text[:4], text[4:]) if text[0].isdigit() else (text[:1], text[1:])
        actions.record_trial(event_id=found.pk, turn=turn, trial=mark, wind=wind, answered=True, **PIT)


def correct(found: Event, bib: str, round: int, mark: str) -> None:
    turn = Turn(key(found, bib), round)
    actions.correct_trial(event_id=found.pk, turn=turn, trial=mark, reason="misread", **DESK)


def key(found: Event, bib: str) -> str:
    return str(found.entries.get(bib=bib).pk)


def book(found: Event, *marks: int, level="district", **fields):
    """A record book of the meet; the event has these marks in it, the standing one among them."""
    made = RecordBookFactory(level=level, **fields)
    made.meets.add(found.meet)
    for number, mark in enumerate(marks):
        RecordFactory(book=made, mark=mark, year=2010 + number, **KIND)
    return made


def now(found: Event):
    """Event, state, entries: what most reads take."""
    entries = entries_of(found)
    return found, state_of(found, entries), entries
