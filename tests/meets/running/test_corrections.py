"""Trials put right: what is said of a trial goes along with it, and nothing is lost on the way."""

import pytest

from meets.running import actions
from meets.running.actions import PIT, SECOND
from meets.running.reads import state_of
from scoring.log import Turn
from scoring.wind import Wind
from tests.meets.running.pit_work import DESK_BY, PIT_BY, jump

WHY = {"reason": "jumped under the wrong bib"}


def turn_of(event, turn):
    return next(t for t in state_of(event).entry(turn.entry).turns if t.turn == turn)


def move(event, turn, other):
    actions.move_trial(event_id=event.pk, turn=turn, to_entry=other, **WHY, **DESK_BY)


@pytest.fixture
def other(event):
    """The entry that jumps second."""
    return state_of(event).callable[1].turn.entry


# Moved to another bib


def test_a_disagreement_moves_along(event, up, other):
    for recorder, mark, wind in ((PIT, "5.43", "+1.0"), (SECOND, "5.34", "+1.1")):
        actions.record_trial(
            event_id=event.pk, turn=up, trial=mark, wind=wind, answered=True, **{**PIT_BY, "recorder": recorder}
        )
    move(event, up, other)
    moved = turn_of(event, Turn(other, 1))
    assert sorted(trial.mark for trial in moved.said) == [534, 543]
    assert (moved.disputed, moved.wind_disputed) == (True, True)
    assert state_of(event).callable[0].turn == up


def test_two_equal_records_move_as_one_trial(event, up, other):
    for recorder in (PIT, SECOND):
        actions.record_trial(
            event_id=event.pk, turn=up, trial="5.43", wind="+1.0", answered=True, **{**PIT_BY, "recorder": recorder}
        )
    move(event, up, other)
    moved = turn_of(event, Turn(other, 1))
    assert (moved.trial.mark, len(moved.rows), moved.disputed) == (543, 1, False)


def test_a_protest_moves_along_and_is_decided_under_its_name(event, up, other):
    actions.record_trial(event_id=event.pk, turn=up, trial="5.43", under_protest=True, answered=True, **PIT_BY)
    move(event, up, other)
    (protest,) = state_of(event).protests
    assert (protest.entry, turn_of(event, Turn(other, 1)).held) == (other, True)
    actions.decide_protest(event_id=event.pk, name=protest.protest, upheld=True, reason="seen", **DESK_BY)
    assert state_of(event).entry(other).best == 543


def test_a_wind_that_is_owed_stays_owed_when_the_gauge_has_died_meanwhile(event, up, other):
    jump(event, "5.43", "")
    actions.no_gauge(event_id=event.pk, **PIT_BY)
    move(event, up, other)
    assert state_of(event).owed_winds == (Turn(other, 1),)


def test_into_a_turn_that_was_given_again(event, up, other):
    jump(event, "5.43")
    jump(event, "5.00")
    actions.give_replacement(event_id=event.pk, turn=Turn(other, 1), reason="raked too soon", **DESK_BY)
    move(event, up, other)
    assert state_of(event).entry(other).by_round[1].mark == 543


def test_which_of_two_was_jumped_first_goes_by_the_jumps_and_not_by_corrections(event, up, other):
    jump(event, "5.43")
    jump(event, "5.00")
    actions.correct_trial(event_id=event.pk, turn=up, trial="5.34", reason="misheard", **DESK_BY)
    move(event, up, other)
    assert state_of(event).entry(other).best == 534


# Corrected


def test_a_correction_under_protest_can_be_decided(event, up):
    """A white flag turned red, and the athlete protests at once."""
    jump(event, "5.43")
    asked = {"event_id": event.pk, "turn": up, "trial": "5.43", "under_protest": True}
    actions.correct_trial(**asked, reason="judge reconsidered, athlete protests", **DESK_BY)
    actions.correct_trial(**asked, reason="once more", **DESK_BY)
    (protest,) = state_of(event).protests
    actions.decide_protest(event_id=event.pk, name=protest.protest, upheld=True, reason="seen", **DESK_BY)
    assert state_of(event).entry(up.entry).best == 543


def test_a_new_protest_about_a_trial_is_not_decided_by_the_old_decision(event, up):
    asked = {"event_id": event.pk, "turn": up, "trial": "5.43", "under_protest": True, "answered": True}
    actions.record_trial(**asked, **PIT_BY)
    (first,) = state_of(event).protests
    actions.decide_protest(event_id=event.pk, name=first.protest, upheld=False, reason="seen", **DESK_BY)
    actions.void_trial(event_id=event.pk, turn=up, reason="not this bib", **DESK_BY)
    actions.record_trial(**asked, **PIT_BY)
    second = state_of(event).protests[1]
    assert (second.protest != first.protest, second.upheld, turn_of(event, up).held) == (True, None, True)


def test_a_decision_belongs_to_the_trial_that_the_protest_was_about(event, up):
    """Upheld, then the trial is voided: a new one in the same turn waits for a decision of its own."""
    asked = {"event_id": event.pk, "turn": up, "under_protest": True, "answered": True}
    actions.record_trial(**asked, trial="5.43", **PIT_BY)
    (first,) = state_of(event).protests
    actions.decide_protest(event_id=event.pk, name=first.protest, upheld=True, reason="seen", **DESK_BY)
    assert state_of(event).entry(up.entry).best == 543
    actions.void_trial(event_id=event.pk, turn=up, reason="jumped by somebody else", **DESK_BY)
    actions.record_trial(**asked, trial="5.90", **PIT_BY)
    assert (turn_of(event, up).held, state_of(event).entry(up.entry).best) == (True, None)
    second = state_of(event).protests[1]
    actions.decide_protest(event_id=event.pk, name=second.protest, upheld=True, reason="seen", **DESK_BY)
    assert (turn_of(event, up).held, state_of(event).entry(up.entry).best) == (False, 590)


def test_names_of_protests_are_made_different(event, up):
    for name in ("protest 1", "protest 1", " "):
        actions.lodge_protest(event_id=event.pk, name=name, turn=up, who="coach", reason="line", **DESK_BY)
    assert [p.protest for p in state_of(event).protests] == ["protest 1", "protest 1 (2)", "protest"]


def test_choosing_the_first_of_two_winds_settles_it(event, up):
    for recorder, wind in ((PIT, "+1.0"), (SECOND, "+1.1")):
        actions.record_trial(
            event_id=event.pk, turn=up, trial="5.43", wind=wind, answered=True, **{**PIT_BY, "recorder": recorder}
        )
    actions.correct_trial(event_id=event.pk, turn=up, trial="5.43", wind="+1.0", reason="gauge heard", **DESK_BY)
    assert (state_of(event).disputes, turn_of(event, up).trial.wind) == ((), Wind(10))


def test_a_wind_without_information_is_not_taken_back_by_a_row_that_takes_nothing_back(event, up):
    actions.no_gauge(event_id=event.pk, **PIT_BY)
    jump(event, "5.43", "")
    stored = actions.correct_trial(event_id=event.pk, turn=up, trial="5.34", wind="", reason="misheard", **DESK_BY)
    assert len(stored.rows) == 1


def test_who_corrects_what_somebody_else_has_just_corrected_is_told(event, up):
    jump(event, "5.34")
    seen = turn_of(event, up).rows
    asked = {"event_id": event.pk, "turn": up, "reason": "misheard", "seen_rows": seen}
    actions.correct_trial(**asked, trial="5.43", **DESK_BY)
    with pytest.raises(actions.Overtaken, match="put this trial right in the meantime"):
        actions.correct_trial(**asked, trial="5.40", **DESK_BY)
    assert turn_of(event, up).trial.mark == 543


# Given again


def test_a_turn_is_given_again_once_at_a_time(event, up):
    jump(event, "x")
    give = {"event_id": event.pk, "turn": up, "reason": "raked too soon"}
    actions.give_replacement(**give, **DESK_BY)
    with pytest.raises(actions.Refusal, match="given for this turn already"):
        actions.give_replacement(**give, **DESK_BY)
    again = up._replace(replacement=1)
    actions.give_replacement(**give | {"turn": again}, **DESK_BY)
    assert state_of(event).callable[0].turn == up._replace(replacement=2)
