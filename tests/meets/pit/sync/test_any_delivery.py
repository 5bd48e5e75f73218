"""Whatever way entries of several phones arrive, the event stands as if each phone's own record had been read out.

A machine of random steps: phones write, deliver any part of what they have, in any order, again and again, alone or
for one another; the database is set back to an older copy; clocks jump. At the end everything is delivered once more,
and the state must be that of the ledger: what was written, replayed by the engine without any database. What two
phones say about one matter that has an order (away and back, suspended and resumed) is theirs to settle by speaking;
here each such matter has one phone.
"""

import os
import random
from dataclasses import replace
from uuid import uuid4

import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from meets.models import Delivery, SetAside
from meets.pit.sync.message import MOST_ENTRIES
from meets.pit.sync.reads import missing
from meets.running import actions
from meets.running.reads import entries_of, rows_of, rules_of, start_lines, state_of
from meets.running.states import _states
from scoring.event import replay
from scoring.facts import from_plain
from scoring.log import Row
from scoring.state import EventState
from tests.factories import EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.sync.phone import WALL, Phone

BIBS = ("1", "2", "3", "4")
RECORDS = {"recorder": "pit", "second": "second recorder", "gauge": "gauge", "referee": "referee"}
DAY_MS = 24 * 3600 * 1000
"""Told by one phone only: the recorder's."""
PRESENCE = ("left", "returned", "checked_in", "did_not_start", "joined", "withdrew")


class Deliveries(RuleBasedStateMachine):
    @initialize()
    def a_meet(self):
        self.block = transaction.atomic()
        self.block._from_testcase = True  # as in Django's own test cases: what is durable in it is so for the test
        self.block.__enter__()
        self.event = EventFactory(discipline="LJ", boards_cm=[100], rule_changes={"cuts": "3:2"})
        self.keys = [str(EntryFactory(event=self.event, bib=bib, seed_mark=None, board_cm=None).pk) for bib in BIBS]
        actions.draw(event_id=self.event.pk, seed=7, **DESK_BY)
        session = PitSessionFactory(pit__meet=self.event.meet)
        SessionPartFactory(event=self.event, session=session)
        self.phones = [Phone(session, role) for role in RECORDS]
        self.recorder, self.referee = self.phones[0], self.phones[-1]
        self.protested: dict[str, set[int]] = {}
        self.decided: set[str] = set()
        self.first = rows_of(self.event)
        self.savepoints: list[str] = []
        self.acknowledged: set[str] = set()

    def teardown(self):
        if hasattr(self, "block"):
            transaction.set_rollback(True)
            self.block.__exit__(None, None, None)
            _states.clear()

    # What phones write.

    @rule(phone=st.sampled_from((0, 0, 1)), who=st.integers(0, 3), round=st.integers(1, 6), mark=st.integers(0, 6))
    def a_trial(self, phone, who, round, mark):
        """Two phones often say the same, and sometimes not; mark 0 is a failure."""
        values = {"entry": self.keys[who], "round": round, "result": "mark" if mark else "x", "board_cm": 100}
        self._write(self.phones[phone], "jumped", values | ({"mark": 500 + mark} if mark else {}))

    @rule(phone=st.integers(0, 2), who=st.integers(0, 3), round=st.integers(1, 6), tenths=st.integers(-2, 2))
    def a_wind(self, phone, who, round, tenths):
        self._write(self.phones[phone], "wind_read", {"entry": self.keys[who], "round": round, "tenths": tenths})

    @rule(phone=st.sampled_from((0, 1)), data=st.data(), mark=st.integers(1, 9))
    def a_correction(self, phone, data, mark):
        """Of a trial of its own; it may be delivered before what it corrects."""
        own = self._trials(self.phones[phone])
        if own:
            old = data.draw(st.sampled_from(own))
            values = {**old["values"], "result": "mark", "mark": 500 + mark}
            self._write(self.phones[phone], "jumped", values, supersedes=[old["id"]], reason="misheard")

    @rule(data=st.data())
    def a_trial_taken_back(self, data):
        own = self._trials(self.recorder)
        if own:
            old = data.draw(st.sampled_from(own))
            turn = {name: old["values"][name] for name in ("entry", "round")}
            self._write(self.recorder, "voided", turn, supersedes=[old["id"]], reason="other bib")

    def _trials(self, phone):
        """Not those under protest: which of two trials a protest is about goes by what was there when it came in."""
        return [entry for entry in phone.said if entry["kind"] == "jumped" and "replacement" not in entry["values"]]

    @rule(phone=st.sampled_from((0, 1)), who=st.integers(0, 3), round=st.integers(1, 3))
    def measured_under_protest(self, phone, who, round):
        """A replacement trial, which nothing else here writes; each recorder writes its protest once."""
        turn = {"entry": self.keys[who], "round": round, "replacement": 1}
        name = f"{self.keys[who]}-{round}-1"
        if phone not in self.protested.setdefault(name, set()):
            self.protested[name].add(phone)
            own = self.phones[phone]
            self._write(own, "jumped", turn | {"result": "x", "mark": 540, "under_protest": True, "board_cm": 100})
            self._write(own, "protest_lodged", {"protest": name, **turn}, reason="immediate oral protest")

    @precondition(lambda self: self.protested.keys() - self.decided)
    @rule(data=st.data(), upheld=st.booleans())
    def a_decision(self, data, upheld):
        name = data.draw(st.sampled_from(sorted(self.protested.keys() - self.decided)))
        self.decided.add(name)
        self._write(self.referee, "protest_decided", {"protest": name, "upheld": upheld}, reason="heel")

    @rule(kind=st.sampled_from(PRESENCE), who=st.integers(0, 3))
    def somebody_comes_or_goes(self, kind, who):
        self._write(self.recorder, kind, {"entry": self.keys[who]} | ({"round": 2} if kind == "joined" else {}))

    @rule(safety=st.booleans())
    def a_break(self, safety):
        self._write(self.recorder, "suspended", {"safety": True} if safety else {}, reason="rain")

    @rule(phone=st.sampled_from((1, 2)))
    def a_wiped_phone(self, phone):
        """Its database is gone once everything was sent: a new epoch begins. Which was first is not known then."""
        own = self.phones[phone]
        if own.said:
            self._send(own, own.said)
            self.wiped = [*getattr(self, "wiped", []), (own, own.epoch, own.said)]
            own.epoch, own.said = uuid4(), []

    def _write(self, phone, kind, values, **more):
        jump = random.choice((-1, 0, 0, 0, 1)) * DAY_MS
        phone.write(self.event, kind, values, wall=WALL + jump + 1000 * len(phone.said), **more)

    # How it is delivered.

    @precondition(lambda self: any(phone.said for phone in self.phones))
    @rule(data=st.data(), bringer=st.integers(0, 3), lost=st.booleans())
    def a_delivery(self, data, bringer, lost):
        """Any part of what a phone holds, in any order, some of it twice; `lost`: it never hears the answer."""
        phone = data.draw(st.sampled_from([phone for phone in self.phones if phone.said]))
        part = data.draw(st.lists(st.sampled_from(phone.said), min_size=1, max_size=8))
        done = phone.send(*part, by=self.phones[bringer])
        assert {result.status for result in done.results} <= {"stored", "duplicate"}
        if not lost:
            self.acknowledged |= {result.id for result in done.results}

    @rule(size=st.integers(1, 7), phone=st.integers(0, 3))
    def a_phone_drains(self, size, phone):
        own = self.phones[phone]
        for first in range(0, len(own.said), size):
            own.send(*own.said[first : first + size])
        self.acknowledged |= {entry["id"] for entry in own.said}

    @rule()
    def a_backup(self):
        if connection.in_atomic_block:
            self.savepoints.append(transaction.savepoint())

    @precondition(lambda self: self.savepoints)
    @rule(data=st.data())
    def an_older_backup_is_put_back(self, data):
        place = data.draw(st.integers(0, len(self.savepoints) - 1))
        transaction.savepoint_rollback(self.savepoints[place])
        _states.clear()  # a backup is put back while no server runs: the next one has derived nothing yet
        del self.savepoints[place + 1 :]
        self.acknowledged = set(map(str, Delivery.objects.values_list("pk", flat=True)))

    @invariant()
    def nothing_acknowledged_is_lost(self):
        if hasattr(self, "acknowledged"):
            stored = set(map(str, Delivery.objects.filter(status="stored").values_list("pk", flat=True)))
            assert self.acknowledged <= stored

    # How it must end.

    @rule()
    def it_ends_as_written(self):
        """Everything that any phone holds, or held, is delivered in full; from there the machine may go on."""
        for own, epoch, said in getattr(self, "wiped", []):
            now = own.epoch, own.said
            own.epoch, own.said = epoch, said
            self._send(own, said)
            own.epoch, own.said = now
        for phone in self.phones:
            self._send(phone, phone.said)
        written = [entry for _own, _epoch, said in getattr(self, "wiped", []) for entry in said]
        written += [entry for phone in self.phones for entry in phone.said]
        assert set(map(str, Delivery.objects.values_list("pk", flat=True))) == {entry["id"] for entry in written}
        assert (SetAside.objects.count(), missing(self.event)) == (0, ())
        assert self.event.log.count() == len(self.first) + len(written)
        assert told(state_of(self.event)) == told(self._of_the_ledger(written))

    def _send(self, phone, entries):
        for first in range(0, len(entries), MOST_ENTRIES):
            phone.send(*entries[first : first + MOST_ENTRIES])

    def _of_the_ledger(self, written) -> EventState:
        rows = [*self.first]
        for entry in written:
            fact = from_plain(entry["kind"], entry["values"])
            rows.append(
                Row(
                    entry["id"], len(rows) + 1, fact, tuple(entry["supersedes"]), RECORDS[entry["role"]],
                    entry["official"], entry["reason"],
                )
            )  # fmt: skip
        return replay(start_lines(entries_of(self.event)), rows, rules_of(self.event))


def told(state: EventState) -> EventState:
    """All that is derived, but for what names the moment itself; void trials, protests and alarms in one order.

    Who jumped last is of the moment, and so is the longer clock of two trials in a row.
    """
    entries = tuple(
        replace(entry, turns=tuple(replace(turn, void=tuple(sorted(turn.void, key=repr))) for turn in entry.turns))
        for entry in state.entries
    )
    protests = (replace(protest, lodged_at=None, decided_at=None) for protest in state.protests)
    in_order = tuple(sorted(protests, key=lambda protest: protest.protest))
    alarms = tuple(sorted(state.alarms, key=repr))
    return replace(state, entries=entries, protests=in_order, alarms=alarms, consecutive=False, clock_s=0)


EXAMPLES = int(os.environ.get("NEAREST_BREAK_HISTORIES", "200"))


def run(many: int) -> None:
    quiet = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
    run_state_machine_as_test(
        Deliveries, settings=settings(max_examples=many, stateful_step_count=25, suppress_health_check=quiet)
    )


@pytest.mark.slow
@pytest.mark.django_db
def test_any_delivery_gives_the_state_of_the_ledger():
    run(EXAMPLES)


@pytest.mark.long_faults
@pytest.mark.django_db
def test_ten_thousand_histories_give_the_state_of_the_ledger():
    run(10_000)
