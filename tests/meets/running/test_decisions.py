"""Decisions of officials: what is refused, each with its sentence, and what taking back means."""

import pytest

from meets.running import actions
from meets.running.reads import people_of, state_of
from scoring.log import Turn
from scoring.state import Stage
from tests.factories import AthleteFactory, EntryFactory, EventFactory, SchoolFactory
from tests.meets.running.pit_work import DESK_BY, PIT_BY, jump
from tests.meets.running.test_event_day import played


def refused(action, event, **asked):
    before = state_of(event).version
    with pytest.raises(actions.Refusal) as refusal:
        action(event_id=event.pk, **{**DESK_BY, **asked})
    assert state_of(event).version == before
    return str(refusal.value)


WHY = {"reason": "rain"}


@pytest.mark.parametrize(
    ("action", "asked", "sentence"),
    [
        (actions.confirm_trials, {}, "The number of trials is confirmed once everybody has had the turn in round 1."),
        (actions.take_cut, {}, "There is no cut to take now."),
        (actions.call_order, {}, "There is no order to call now."),
        (actions.shorten, WHY | {"last_round": 0}, "Round 1 has begun: end after it, or abandon the event."),
        (actions.shorten, WHY | {"last_round": 7}, "The event has no round after round 6 as it is."),
        (actions.abandon, WHY | {"rounds_counted": 7}, "The event has only 6 rounds."),
        (actions.close, {}, "Trials or decisions are still open. To close all the same, give the reason."),
        (actions.draw, {}, None),
        (actions.take_back, WHY | {"row": "nonsense"}, "The row to be taken back is not in this event's log."),
        (actions.take_back, {"reason": " ", "row": None}, "A correction needs its reason."),
    ],
)
def test_refused_with_its_sentence(event, action, asked, sentence):
    jump(event, "5.00")
    if asked.get("row", "") is None:
        asked = asked | {"row": str(event.log.last().pk)}
    said = refused(action, event, **asked)
    assert said == (sentence or f"{event.name} has begun: the order can no longer be drawn anew.")


def test_another_decision_than_proposed_needs_its_reason(event):
    played(event, 3, seed=5)
    assert (
        refused(actions.confirm_trials, event, rounds=5) == "Another number of trials than proposed needs its reason."
    )
    actions.confirm_trials(event_id=event.pk, **DESK_BY)
    going_on = state_of(event).cut_proposal.going_on
    assert refused(actions.take_cut, event, going_on=going_on[:7]) == "Another cut than proposed needs its reason."
    wrong = "The order must name exactly those who go on."
    assert refused(actions.take_cut, event, order=going_on[:7]) == wrong
    proposed = state_of(event).order_proposal.order
    assert refused(actions.take_cut, event, order=proposed[::-1]) == "Another order than proposed needs its reason."
    actions.take_cut(event_id=event.pk, **DESK_BY)
    played(event, 6, seed=6)
    actions.close(event_id=event.pk, **DESK_BY)
    assert refused(actions.close, event) == "The event is closed already."


def test_a_different_order_without_a_cut_needs_its_reason(event):
    actions.change_rule(event_id=event.pk, field="cuts", value="3:10", reason="small field", **DESK_BY)
    played(event, 3, seed=5)
    actions.confirm_trials(event_id=event.pk, **DESK_BY)
    proposed = state_of(event).order_proposal.order
    assert refused(actions.call_order, event, order=proposed[:4]) == "The order must name exactly those who go on."
    assert refused(actions.call_order, event, order=proposed[::-1]) == "Another order than proposed needs its reason."
    actions.call_order(event_id=event.pk, order=proposed[::-1], reason="light", **DESK_BY)
    assert [turn.turn.entry for turn in state_of(event).callable][:10] == list(proposed[::-1])


def test_abandoned_while_the_cut_is_due_three_rounds_count(event):
    """Nobody has a turn then, and still only three rounds were jumped."""
    played(event, 3, seed=5)
    actions.confirm_trials(event_id=event.pk, **DESK_BY)
    actions.abandon(event_id=event.pk, reason="lightning", **DESK_BY)
    state = state_of(event)
    assert (state.stage, state.counted_rounds) == (Stage.ABANDONED, 3)


# Taking back


def trial(event, turn):
    return state_of(event).entry(turn.entry).by_round.get(turn.round)


def last(event, kind):
    return str(event.log.filter(kind=kind).last().pk)


def test_a_correction_taken_back_brings_back_what_it_had_corrected(event):
    turn = jump(event, "5.34")
    actions.correct_trial(event_id=event.pk, turn=turn, trial="5.43", wind="+1.0", reason="misheard", **DESK_BY)
    actions.take_back(event_id=event.pk, row=last(event, "jumped"), reason="was the other bib", **DESK_BY)
    assert (trial(event, turn).mark, trial(event, turn).wind.tenths) == (534, 10)
    actions.take_back(event_id=event.pk, row=last(event, "wind_read"), reason="was the other bib", **DESK_BY)
    assert (trial(event, turn).mark, trial(event, turn).wind.tenths) == (534, 3)
    assert state_of(event).alarms == ()


def test_a_trial_taken_back_and_that_taken_back_again(event):
    turn = jump(event, "5.34")
    actions.void_trial(event_id=event.pk, turn=turn, reason="nobody jumped", **DESK_BY)
    assert trial(event, turn) is None
    actions.take_back(event_id=event.pk, row=last(event, "voided"), reason="somebody did", **DESK_BY)
    assert (trial(event, turn).mark, trial(event, turn).wind.tenths) == (534, 3)


def test_a_settled_disagreement_taken_back_is_a_disagreement_again(event):
    turn = jump(event, "5.34")
    second = {**PIT_BY, "recorder": actions.SECOND}
    actions.record_trial(event_id=event.pk, turn=turn, trial="5.43", answered=True, **second)
    actions.correct_trial(event_id=event.pk, turn=turn, trial="5.43", reason="measurer heard", **DESK_BY)
    assert state_of(event).disputes == ()
    actions.take_back(event_id=event.pk, row=last(event, "jumped"), reason="not heard yet", **DESK_BY)
    assert state_of(event).disputes == (turn,)


def test_a_row_that_no_longer_stands_is_not_taken_back(event):
    turn = jump(event, "5.34")
    first = last(event, "jumped")
    actions.correct_trial(event_id=event.pk, turn=turn, trial="5.43", reason="misheard", **DESK_BY)
    said = refused(actions.take_back, event, row=first, reason="mine")
    assert said == "This row no longer stands. Look at the row that replaced it."


def test_a_decision_taken_back_is_open_again(event):
    entry = state_of(event).callable[0].turn.entry
    actions.did_not_start(event_id=event.pk, entry=entry, **DESK_BY)
    assert state_of(event).callable[0].turn.entry != entry
    actions.take_back(event_id=event.pk, row=last(event, "did_not_start"), reason="is here", **DESK_BY)
    assert state_of(event).callable[0].turn == Turn(entry, 1)


# The same draw in another database


@pytest.mark.parametrize("bibs", [True, False])
def test_the_same_seed_draws_the_same_list_whatever_the_keys_are(db, bibs):
    """Entries stored in another order have other primary keys; without bibs their names and schools are known."""
    schools = [SchoolFactory(code=code, name=f"School {code}") for code in "ABC"]

    def drawn(numbers):
        event = EventFactory(discipline="LJ")
        for n in numbers:
            athlete = AthleteFactory(school=schools[n % 3], first_name="Maren", last_name=f"Name {n}")
            EntryFactory(event=event, athlete=athlete, bib=str(n) if bibs else "", seed_mark=None)
        actions.draw(event_id=event.pk, seed=11, **DESK_BY)
        people = people_of(event)
        return [people[entry].name for flight in state_of(event).flights for entry in flight]

    assert drawn(range(1, 13)) == drawn(range(12, 0, -1))


# A replacement trial owed when the event is abandoned


@pytest.mark.parametrize(("rounds", "counted"), [(3, 3), (2, 0)])
def test_abandoned_with_a_replacement_trial_owed_the_rounds_of_all_others_count(event, rounds, counted):
    """Everybody was called in these rounds; less than three completed rounds give no result, owed trial or not."""
    first = state_of(event).callable[0].turn
    played(event, rounds, seed=5)
    actions.give_replacement(event_id=event.pk, turn=first, reason="hampered", **DESK_BY)
    actions.abandon(event_id=event.pk, reason="lightning", **DESK_BY)
    state = state_of(event)
    assert state.counted_rounds == counted
    told = [(alarm.key, alarm.entries) for alarm in state.alarms if alarm.key.startswith("owed")]
    assert told == ([(f"owed {first.entry} 1 1", (first.entry,))] if counted else [])


def test_abandoned_in_a_round_with_a_replacement_trial_of_an_earlier_one_owed(event):
    first = state_of(event).callable[0].turn
    played(event, 3, seed=5)
    actions.confirm_trials(event_id=event.pk, **DESK_BY)
    actions.take_cut(event_id=event.pk, **DESK_BY)
    jumper = state_of(event).callable[0].turn
    actions.record_trial(event_id=event.pk, turn=jumper, trial="5.00", wind="+0.1", answered=True, **PIT_BY)
    actions.give_replacement(event_id=event.pk, turn=first, reason="hampered", **DESK_BY)
    actions.abandon(event_id=event.pk, reason="lightning", **DESK_BY)
    assert state_of(event).counted_rounds == 3
