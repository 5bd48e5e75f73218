"""The desk settles what waits: each decision once, with its reason, through the log."""

import json
from datetime import timedelta

import pytest

from meets.models import Delivery, SetAside
from meets.pit.sync.review import leave_out, settle_set_aside, take_in
from meets.running import actions
from meets.running.actions import Refusal
from meets.running.reads import state_of
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.sync.phone import NOW, key_of, statuses

LATER = NOW + timedelta(hours=1)
DESK = {"by": "O. Rganiser", "reason": "seen on the field sheet", "now": LATER}


@pytest.fixture
def late(event, phone):
    """A trial that came after the event was closed."""
    closed = actions.close(event_id=event.pk, reason="rain", **DESK_BY)
    phone.jump(event, "1", 1, 543)
    phone.send_all()
    assert closed.version == event.log.count()
    return Delivery.objects.get()


def test_taken_in_it_is_a_row_like_any_other(event, phone, late):
    assert take_in(delivery=late, **DESK) == phone.said[0]["id"]
    row = event.log.get(pk=late.pk)
    assert (row.kind, row.values, row.recorder, row.by) == ("jumped", phone.said[0]["values"], "pit", "R. Corder")
    assert row.reason == "taken in at the desk by O. Rganiser: seen on the field sheet"
    late.refresh_from_db()
    assert (late.status, late.problem, late.settled_by, late.settled_at) == ("stored", "", "O. Rganiser", LATER)
    assert statuses(phone.send_all()) == ["duplicate"]
    assert state_of(event).entry(key_of(event, "1")).best == 543


def test_left_out_it_is_kept_and_the_log_says_why(event, phone, late):
    leave_out(delivery=late, **DESK)
    late.refresh_from_db()
    assert (late.status, late.settled_by) == ("left_out", "O. Rganiser")
    row = event.log.order_by("rev").last()
    assert (row.kind, row.values, row.reason) == ("alarm_settled", {"alarm": f"left out {late.pk}"}, DESK["reason"])
    answer = phone.send_all().results[0]
    assert (answer.status, answer.says) == ("duplicate", "Left out at the desk: seen on the field sheet")
    assert state_of(event).entry(key_of(event, "1")).best is None


@pytest.mark.parametrize("decide", [take_in, leave_out])
def test_a_decision_is_taken_once_and_with_a_reason(late, decide):
    with pytest.raises(Refusal, match="reason"):
        decide(delivery=late, **{**DESK, "reason": " "})
    decide(delivery=late, **DESK)
    with pytest.raises(Refusal, match="already"):
        decide(delivery=late, **DESK)


def test_a_round_beyond_the_last_may_be_taken_in_and_is_an_alarm(event, phone):
    phone.jump(event, "1", 7)
    phone.send_all()
    take_in(delivery=Delivery.objects.get(), **DESK)
    assert "extra" in {alarm.key.split()[0] for alarm in state_of(event).alarms}


def test_what_cannot_be_is_not_taken_in(event, phone):
    phone.write(event, "jumped", {"entry": "999999", "round": 1, "result": "x"})
    phone.write(event, "jumped", None)
    phone.jump(event, "1", 1, 543, event=999_999)
    phone.send_all()
    many = event.log.count()
    for delivery, says in zip(Delivery.objects.order_by("seq"), ("not entered", "missing", "no event"), strict=True):
        with pytest.raises(Refusal, match=says):
            take_in(delivery=delivery, **DESK)
        leave_out(delivery=delivery, **DESK)
    assert set(Delivery.objects.values_list("status", flat=True)) == {"left_out"}
    assert event.log.count() == many + 2


@pytest.fixture
def clash(event, phone):
    """Two trials under one number: 543 came first."""
    phone.jump(event, "1", 1, 543)
    phone.send_all()
    phone.send(phone.jump(event, "1", 1, 534, seq=1))
    return SetAside.objects.get()


def test_the_first_of_two_stands(event, clash):
    assert settle_set_aside(set_aside=clash, **DESK) is None
    clash.refresh_from_db()
    assert (clash.settled_by, clash.settled_at) == ("O. Rganiser", LATER)
    row = event.log.order_by("rev").last()
    assert (row.kind, row.values) == ("alarm_settled", {"alarm": f"set aside {clash.hash}"})
    assert state_of(event).entry(key_of(event, "1")).best == 543
    with pytest.raises(Refusal, match="already"):
        settle_set_aside(set_aside=clash, **DESK)


def test_the_other_of_two_takes_its_place(event, phone, clash):
    new = settle_set_aside(set_aside=clash, use_instead=True, **DESK)
    row = event.log.get(pk=new)
    assert (row.supersedes, row.values["mark"]) == ([phone.said[0]["id"]], 534)
    assert new != json.loads(clash.body)["id"]
    state = state_of(event)
    assert (state.entry(key_of(event, "1")).best, state.disputes) == (534, ())
