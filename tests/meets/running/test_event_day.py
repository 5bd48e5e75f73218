"""One event through the functions that officials use: drawn, recorded, cut, finished, closed."""

from datetime import UTC, datetime
from random import Random

import pytest

from meets.running import actions
from meets.running.actions import DESK, PIT
from meets.running.reads import people_of, state_of
from scoring.log import Turn
from scoring.state import Stage
from tests.factories import EntryFactory, EventFactory, SchoolFactory
from tests.played import once

NOW = datetime(2027, 6, 12, 10, 0, tzinfo=UTC)
DESK_BY = {"by": "Organiser", "recorder": DESK, "now": NOW}
PIT_BY = {"by": "Recorder", "recorder": PIT, "now": NOW}


@pytest.fixture
def event(db):
    event = EventFactory(discipline="LJ")
    for bib in range(1, 11):
        EntryFactory(event=event, bib=str(bib), seed_mark=None, board_cm=None)
    return event


def play(event, until_round, rng):
    """Record whoever is up until `until_round` is over or a decision is due."""
    while True:
        state = state_of(event)
        if not state.callable or state.callable[0].turn.round > until_round:
            return state
        trial = rng.choice(["x", str(rng.randint(430, 520))])
        wind = "+0.8" if trial != "x" else ""
        outcome = actions.record_trial(
            event_id=event.pk, turn=state.callable[0].turn, trial=trial, wind=wind, answered=True, **PIT_BY
        )
        assert outcome.recorded


def played(event, until_round, *, seed):
    """The same, where how it came about is not what is looked at."""
    once(event, lambda: play(event, until_round, Random(seed)), until_round, seed)


def test_a_whole_event(event):
    rng = Random(5)
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    assert state_of(event).stage is Stage.DRAWN
    state = play(event, 3, rng)
    assert state.trials_proposal.starters == 10
    assert state.cut_proposal is None
    actions.confirm_trials(event_id=event.pk, **DESK_BY)
    proposal = state_of(event).cut_proposal
    assert len(proposal.going_on) == 8
    actions.take_cut(event_id=event.pk, **DESK_BY)
    state = play(event, 6, rng)
    assert state.stage is Stage.FINISHED
    assert sum(len(entry.by_round) for entry in state.entries) == 10 * 3 + 8 * 3
    actions.close(event_id=event.pk, **DESK_BY)
    assert state_of(event).stage is Stage.CLOSED
    assert set(people_of(event)) == {entry.line.entry for entry in state.entries}


def test_a_refused_row_stores_nothing(event):
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    first = state_of(event).callable[0].turn
    with pytest.raises(actions.Refusal, match="nobody has jumped over"):
        actions.record_trial(event_id=event.pk, turn=first, trial="9.51", wind="+0.1", answered=True, **PIT_BY)
    assert state_of(event).version == 1


def test_a_decision_on_an_old_page_is_refused(event):
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    played(event, 3, seed=1)
    seen = state_of(event).version
    actions.no_gauge(event_id=event.pk, **PIT_BY)
    with pytest.raises(actions.Overtaken):
        actions.confirm_trials(event_id=event.pk, seen_version=seen, **DESK_BY)


def test_a_correction_needs_its_reason_and_keeps_the_old_row(event):
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    turn = state_of(event).callable[0].turn
    actions.record_trial(event_id=event.pk, turn=turn, trial="5.34", wind="+0.4", answered=True, **PIT_BY)
    with pytest.raises(actions.Refusal, match="reason"):
        actions.correct_trial(event_id=event.pk, turn=turn, trial="5.43", reason="", **DESK_BY)
    actions.correct_trial(event_id=event.pk, turn=turn, trial="5.43", reason="misheard", **DESK_BY)
    trial = state_of(event).entry(turn.entry).by_round[1]
    assert (trial.mark, trial.wind.tenths) == (543, 4)
    assert event.log.filter(kind="jumped").count() == 2


def test_a_trial_belongs_to_the_body_that_jumped(event):
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    first, second = (item.turn for item in state_of(event).callable[:2])
    actions.record_trial(event_id=event.pk, turn=first, trial="5.02", wind="-0.3", answered=True, **PIT_BY)
    actions.move_trial(event_id=event.pk, turn=first, to_entry=second.entry, reason="wrong bib", **DESK_BY)
    state = state_of(event)
    assert state.callable[0].turn == first
    moved = state.entry(second.entry).by_round[1]
    assert (moved.mark, moved.wind.tenths) == (502, -3)


def test_of_two_trials_in_a_round_the_one_jumped_second_is_void(event):
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    first, second = (item.turn for item in state_of(event).callable[:2])
    for turn, mark in ((first, "5.02"), (second, "5.20")):
        actions.record_trial(event_id=event.pk, turn=turn, trial=mark, wind="+0.3", answered=True, **PIT_BY)
    actions.move_trial(event_id=event.pk, turn=first, to_entry=second.entry, reason="wrong bib", **DESK_BY)
    state = state_of(event)
    assert state.entry(second.entry).best == 502
    assert [(trial.mark, why) for trial, why in state.entry(second.entry).turns[0].void] == [
        (520, "second trial in this round")
    ]
    assert state.callable[0].turn == first


def test_a_replacement_trial_comes_first(event):
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    turns = [item.turn for item in state_of(event).callable[:3]]
    for turn in turns:
        actions.record_trial(event_id=event.pk, turn=turn, trial="4.80", wind="+0.1", answered=True, **PIT_BY)
    actions.give_replacement(event_id=event.pk, turn=turns[0], reason="raked too soon", **DESK_BY)
    state = state_of(event)
    assert state.callable[0].turn == Turn(turns[0].entry, 1, 1)
    assert state.entry(turns[0].entry).by_round == {}


def test_a_trial_under_protest_counts_once_upheld(event):
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    turn = state_of(event).callable[0].turn
    actions.record_trial(
        event_id=event.pk, turn=turn, trial="5.10", wind="+0.1", under_protest=True, answered=True, **PIT_BY
    )
    state = state_of(event)
    assert state.entry(turn.entry).best is None
    [protest] = state.protests
    actions.decide_protest(event_id=event.pk, name=protest.protest, upheld=True, reason="line not broken", **DESK_BY)
    assert state_of(event).entry(turn.entry).best == 510


@pytest.mark.django_db
def test_schools_rotate_over_the_events_of_a_meet():
    first = EventFactory(discipline="LJ", rotation=0)
    second = EventFactory(meet=first.meet, discipline="TJ", rotation=1)
    schools = [SchoolFactory() for _ in range(4)]
    for event in (first, second):
        for school in schools:
            EntryFactory(event=event, athlete__school=school)
        actions.draw(event_id=event.pk, method="school-rotation", **DESK_BY)
    starts = [[entry.line.school for entry in state_of(event).entries] for event in (first, second)]
    assert starts[1] == starts[0][1:] + starts[0][:1]


def test_a_judge_who_reconsiders_keeps_the_distance_and_a_protest_may_bring_it_back(event):
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    turn = state_of(event).callable[0].turn
    actions.record_trial(event_id=event.pk, turn=turn, trial="5.10", wind="+0.1", answered=True, **PIT_BY)
    actions.correct_trial(
        event_id=event.pk, turn=turn, trial="x", fail_reason="line", reason="judge reconsidered", **PIT_BY
    )
    trial = state_of(event).entry(turn.entry).by_round[1]
    assert (trial.result, trial.mark, trial.valid_mark) == ("x", 510, None)
    actions.lodge_protest(event_id=event.pk, name="p1", turn=turn, who="coach", reason="line not broken", **PIT_BY)
    assert state_of(event).entry(turn.entry).turns[0].held
    actions.decide_protest(event_id=event.pk, name="p1", upheld=True, reason="no mark on the line", **DESK_BY)
    assert state_of(event).entry(turn.entry).best == 510


def test_a_rule_change_must_agree_with_the_one_before(event):
    actions.change_rule(event_id=event.pk, field="cuts", value="4:8", reason="agreed", **DESK_BY)
    with pytest.raises(actions.Refusal, match="cuts"):
        actions.change_rule(event_id=event.pk, field="rounds", value="4", reason="rain", **DESK_BY)
