"""Several recorders write in one event at the same moment: every row has a position of its own, and none is lost."""

from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection, connections

from meets.running import actions
from meets.running.actions import PAPER, PIT, SECOND
from meets.running.reads import state_of
from tests.meets.running.pit_work import DESK_BY, PIT_BY

several_connections = pytest.mark.skipif(
    connection.vendor == "sqlite", reason="SQLite in memory has one writer and no second connection"
)


@several_connections
@pytest.mark.django_db(transaction=True)
def test_recorders_at_the_same_moment(event):
    turns = [item.turn for item in state_of(event).turns]
    # Two devices of each record write the same turns: one of them is told that the trial is there already.
    records = [(recorder, mark) for recorder in (PIT, SECOND, PAPER) for mark in ("5.00", "5.01")]

    def write(record):
        recorder, mark = record
        stored = Counter()
        try:
            for turn in turns:
                try:
                    actions.record_trial(
                        event_id=event.pk, turn=turn, trial=mark, wind="+1.0", answered=True,
                        **{**PIT_BY, "recorder": recorder},
                    )  # fmt: skip
                    stored["recorded"] += 1
                except actions.Refusal:
                    stored["told"] += 1
        finally:
            connections.close_all()
        return stored

    with ThreadPoolExecutor(len(records)) as pool:
        done = sum(pool.map(write, records), Counter())
    assert done == {"recorded": 3 * len(turns), "told": 3 * len(turns)}
    revs = list(event.log.order_by("rev").values_list("rev", flat=True))
    assert revs == list(range(1, 2 + 2 * 3 * len(turns)))


@several_connections
@pytest.mark.django_db(transaction=True)
def test_two_decisions_at_the_same_moment_are_one(event):
    for turn in [item.turn for item in state_of(event).turns if item.turn.round == 1]:
        actions.record_trial(event_id=event.pk, turn=turn, trial="5.00", answered=True, **PIT_BY)

    def confirm(_):
        try:
            actions.confirm_trials(event_id=event.pk, **DESK_BY)
        except actions.Refusal as refusal:
            return str(refusal)
        finally:
            connections.close_all()
        return "confirmed"

    with ThreadPoolExecutor(4) as pool:
        said = Counter(pool.map(confirm, range(4)))
    assert said["confirmed"] == 1
    assert event.log.filter(kind="trials_confirmed").count() == 1
