"""The demonstration day holds what it promises: every incident once, every event over."""

from collections import Counter
from datetime import UTC, date, datetime
from random import Random

import pytest

from meets.demo.actions import build
from meets.demo.people import entry_file
from meets.models import Event, LogRow, Record, RecordClaim
from meets.records.reads import standards_of
from meets.running.reads import state_of
from scoring.state import Stage

ON = date(2027, 6, 12)
NOW = datetime(2027, 6, 12, 8, 0, tzinfo=UTC)


@pytest.mark.slow
@pytest.mark.django_db
def test_a_whole_district_meet(tmp_path):
    steps = []
    built = build(seed=3, on=ON, out_dir=tmp_path, now=NOW, start=lambda total: steps.append)
    assert (built.entries, built.trials) == (180, sum(steps))
    events = list(built.meet.events.select_related("meet"))
    states = {event.name: state_of(event) for event in events}
    assert {state.stage for state in states.values()} == {Stage.CLOSED}
    kinds = Counter(LogRow.objects.filter(event__meet=built.meet).values_list("kind", flat=True))
    for kind in ("drawn", "cut_taken", "order_called", "replaced", "protest_decided", "left", "joined", "no_gauge"):
        assert kinds[kind] >= 1, kind
    assert kinds["did_not_start"] >= 2
    assert any(row.supersedes and row.kind == "jumped" for row in LogRow.objects.all())
    assert any(placed.shared_with for state in states.values() for placed in state.places)
    assert any(entry.guest for state in states.values() for entry in state.entries)
    shared = [session for event in events for session in event.session_parts.values_list("session", flat=True)]
    assert max(Counter(shared).values()) > 2
    assert [alarm.message for state in states.values() for alarm in state.alarms] == []
    assert {state_of(event).stage for event in Event.objects.filter(meet=built.practice)} == {Stage.DRAWN}
    assert [(claim.state, claim.equals) for claim in RecordClaim.objects.all()] == [("open", False)]
    holders = set(Record.objects.values_list("holder", "school"))
    assert len(holders) == len({holder for holder, _school in holders}) == len(events)
    assert [line.name for line in standards_of(events[0])] == ["Bronze", "Silver", "Gold"]


def test_a_seed_gives_the_same_entry_file_again():
    first, second, other = (entry_file(Random(seed), date(2027, 8, 31)) for seed in (3, 3, 4))
    assert first == second != other
    assert len(first.splitlines()) == 1 + 180
