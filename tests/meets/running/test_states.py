"""The state of an event: what changes it shows at once, nothing of a failed transaction stays, nobody gets lost."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import transaction
from django.db.models import ProtectedError

from meets.models import Entry, Meet
from meets.running import actions, states
from meets.running.reads import rules_of, state_of, states_of
from scoring.log import Turn
from tests.factories import EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.running.pit_work import DESK_BY, PIT_BY, jump


@pytest.fixture
def in_pit(event):
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    return event


def last_entry(event):
    return Entry.objects.get(pk=state_of(event).entries[-1].line.entry)


def change_entry(**values):
    def change(event):
        Entry.objects.filter(pk=last_entry(event).pk).update(**values)

    return change


def change_sand(event):
    pit = event.session_parts.get().session.pit
    pit.sand_cm = 300
    pit.save()


def change_rules(event):
    Meet.objects.filter(pk=event.meet_id).update(rule_set="three-only")


CHANGES = {
    "bib": (change_entry(bib="77"), lambda state: state.entries[-1].line.bib, "77"),
    "guest": (change_entry(guest=True), lambda state: state.entries[-1].guest, True),
    "board": (change_entry(board_cm=300), lambda state: state.entries[-1].board_cm, 300),
    "class": (change_entry(klass="T20"), lambda state: state.entries[-1].line.klass, "T20"),
    "sand": (change_sand, lambda state: [a.key.split()[0] for a in state.alarms], ["range"]),
    "rules": (change_rules, lambda state: state.rounds, 3),
}


@pytest.mark.parametrize("change", CHANGES)
def test_what_changes_the_state_shows_at_once(in_pit, change):
    act, look, expected = CHANGES[change]
    entry = state_of(in_pit).callable[0].turn
    actions.record_trial(event_id=in_pit.pk, turn=entry, trial="5.00", board_cm=100, answered=True, **PIT_BY)
    before = look(state_of(in_pit))
    act(in_pit)
    now = type(in_pit).objects.select_related("meet").get(pk=in_pit.pk)
    assert before != expected
    assert look(state_of(now)) == expected
    (of_meet,) = states_of(now.meet)
    assert look(of_meet.state) == expected


def test_what_a_failed_transaction_recorded_is_forgotten(event):
    first = state_of(event).callable[0].turn
    with transaction.atomic():
        actions.record_trial(event_id=event.pk, turn=first, trial="5.00", answered=True, **PIT_BY)
        assert state_of(event).entry(first.entry).best == 500
        transaction.set_rollback(True)
    actions.record_trial(event_id=event.pk, turn=first, trial="4.00", answered=True, **PIT_BY)
    assert state_of(event).entry(first.entry).best == 400
    (of_meet,) = states_of(event.meet)
    assert of_meet.state.entry(first.entry).best == 400


@pytest.mark.django_db
def test_no_more_states_are_kept_than_stated(monkeypatch):
    monkeypatch.setattr(states, "_KEPT_STATES", 3)
    states._states.clear()
    for _ in range(5):
        event = EventFactory()
        state_of(event)
    assert len(states._states) == 3
    assert state_of(event) is state_of(event)


def test_many_threads_may_look_at_once(event):
    """Keeping and dropping from several threads at once breaks nothing; no database is asked here."""
    known = [states._Known(event, [], None, sand) for sand in range(1, 400)]

    def look(one):
        return (one.kept() or one.replayed([])).version

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(look, known * 3)) == {0}


def test_who_jumped_and_is_withdrawn_from_the_meet_afterwards_keeps_the_place(event):
    turn = jump(event, "5.40")
    other = state_of(event).callable[0].turn.entry
    Entry.objects.filter(pk__in=(turn.entry, other)).update(status=Entry.Status.WITHDRAWN)
    for state in (state_of(event), states_of(event.meet)[0].state):
        assert (state.places[0].entry, state.places[0].place) == (turn.entry, 1)
        assert other not in {entry.line.entry for entry in state.entries}
    actions.correct_trial(event_id=event.pk, turn=turn, trial="5.04", reason="misheard", **DESK_BY)
    assert state_of(event).entry(turn.entry).best == 504


# What is in a log is not taken away


def test_an_entry_of_a_drawn_event_is_neither_deleted_nor_moved(event):
    entry, other = last_entry(event), EventFactory(meet=event.meet, age_group="U11")
    for delete in (entry.delete, event.entries.all().delete, Entry.objects.filter(pk=entry.pk).delete):
        with pytest.raises(ProtectedError, match="withdraw"), transaction.atomic():
            delete()
    entry.event = other
    with pytest.raises(ProtectedError, match="withdraw"), transaction.atomic():
        entry.save()
    assert event.entries.count() == 10


def test_before_the_draw_an_entry_may_go(event):
    fresh = EntryFactory(event=EventFactory(meet=event.meet, age_group="U11"))
    fresh.event = EventFactory(meet=event.meet, age_group="U9")
    fresh.save()
    fresh.delete()
    assert not Entry.objects.filter(pk=fresh.pk).exists()


def test_an_event_and_a_meet_with_a_log_stay(event):
    athlete = last_entry(event).athlete
    for delete in (event.delete, event.meet.delete, Meet.objects.all().delete, athlete.delete, athlete.school.delete):
        with pytest.raises(ProtectedError), transaction.atomic():
            delete()
    with pytest.raises(ProtectedError) as refusal, transaction.atomic():
        event.meet.delete()
    assert refusal.value.args[0] == f"{event.meet.name} has a log and stays: what was recorded is never deleted."
    assert state_of(event).entry(state_of(event).callable[0].turn.entry).line.entry


def test_a_meet_without_a_log_may_go(db):
    meet = EntryFactory().event.meet
    meet.delete()
    assert not Meet.objects.filter(pk=meet.pk).exists()


def test_turn_by_turn_the_same_log_gives_the_same_state_from_one_event_or_all(event):
    jump(event, "5.40")
    assert states_of(event.meet)[0].state == state_of(event)
    assert Turn(*state_of(event).callable[0].turn) == states_of(event.meet)[0].state.callable[0].turn


def test_changes_of_an_event_that_the_rules_of_the_meet_no_longer_allow_leave_it_readable(event):
    event.rule_changes = {"cuts": "5:2", "flight_size": "4"}
    assert (rules_of(event).cuts, rules_of(event).flight_size) == (((5, 2),), 4)
    event.meet.rule_set = "three-only"
    assert (rules_of(event).cuts, rules_of(event).flight_size, state_of(event).rounds) == ((), 4, 3)
