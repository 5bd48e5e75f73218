"""A flight that goes on at another pit: called there, with that pit's board and sand, and no longer called here."""

from datetime import timedelta

import pytest

from meets.desk.event.reads import event_page
from meets.pit.decisions.actions import sign_ready, stop
from meets.pit.screen.reads import screen_of, sessions_on
from meets.running import actions
from meets.running.reads import queue_of, session_view, state_of
from meets.sheets.reads import known
from scoring.state import Stage
from tests.factories import EntryFactory, EventFactory, PitFactory, PitSessionFactory, SessionPartFactory
from tests.meets.running.pit_work import DESK_BY, NOW, PIT_BY
from tests.meets.running.test_event_day import played

WHY = {"reason": "sand too hard", **DESK_BY}


@pytest.fixture
def pits(event):
    """Two pits with a session each; ten athletes in two flights of five, all at the first pit."""
    actions.change_rule(event_id=event.pk, field="flight_size", value="5", reason="small pit", **DESK_BY)
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    return [
        PitSessionFactory(pit=PitFactory(meet=event.meet, name=name, boards_cm=[board], sand_cm=sand), starts_at=NOW)
        for name, board, sand in (("Pit 1", 100, 800), ("Pit 2", 200, 700))
    ]


def called(session):
    """Who is called in a session, by event and flight of the turn."""
    return [(turn.event_id, turn.turn.entry, turn.turn.round) for turn in queue_of(session)]


def of_flight(event, flight, rounds=(1, 2, 3)):
    return [(event.pk, entry, round) for round in rounds for entry in state_of(event).flights[flight - 1]]


def move(event, flight, pit="Pit 2"):
    return actions.move_flight(event_id=event.pk, flight=flight, pit=pit, **WHY)


@pytest.mark.parametrize("parts", [[0], [1, 2]])
def test_a_flight_that_is_moved_is_called_at_the_other_pit_only(event, pits, parts):
    here, there = pits
    for flight in parts:
        SessionPartFactory(session=here, event=event, flight=flight, block=max(flight, 1))
    assert called(here) == [*of_flight(event, 1), *of_flight(event, 2)]
    move(event, 2)
    assert (called(here), called(there)) == (of_flight(event, 1), of_flight(event, 2))
    assert (set(session_view(here).events), set(session_view(there).events)) == ({event.pk}, {event.pk})
    move(event, 1)
    assert (called(here), called(there)) == ([], [*of_flight(event, 1), *of_flight(event, 2)])
    assert session_view(here).events == {}
    move(event, 1, "Pit 1")
    assert (called(here), called(there)) == (of_flight(event, 1), of_flight(event, 2))


def test_what_was_moved_comes_behind_what_the_other_crew_has_to_do(event, pits):
    here, there = pits
    other = EventFactory(
        meet=event.meet,
        discipline="LJ",
        age_group="U11",
        rule_changes={"rounds": "1", "cuts": "", "reorder_before": ""},
    )
    entry = str(EntryFactory(event=other, seed_mark=None).pk)
    actions.draw(event_id=other.pk, seed=7, **DESK_BY)
    SessionPartFactory(session=here, event=event)
    SessionPartFactory(session=there, event=other, block=4)
    move(event, 1)
    assert called(there) == [(other.pk, entry, 1), *of_flight(event, 1)]
    taken_back = event.log.get(kind="flight_moved")
    actions.take_back(event_id=event.pk, row=str(taken_back.pk), **WHY)
    assert called(there) == [(other.pk, entry, 1)]
    assert called(here) == [*of_flight(event, 1), *of_flight(event, 2)]


def test_the_trials_after_the_cut_go_along_once_everybody_whose_pit_held_them_has_moved(event, pits):
    here, there = pits
    SessionPartFactory(session=here, event=event)
    move(event, 2)
    played(event, 3, seed=5)
    actions.confirm_trials(event_id=event.pk, **DESK_BY)
    actions.take_cut(event_id=event.pk, **DESK_BY)
    assert (len(called(here)), len(called(there))) == (24, 0)
    move(event, 1)
    assert (len(called(here)), len(called(there))) == (0, 24)


def test_the_session_that_goes_on_is_the_one_that_knows_the_event_else_the_one_that_is_on_then(event, pits):
    here, later = pits
    earlier = PitSessionFactory(pit=later.pit, starts_at=NOW - timedelta(hours=1))
    later.starts_at = NOW + timedelta(hours=1)
    later.save()
    SessionPartFactory(session=here, event=event, flight=1)
    second = SessionPartFactory(session=here, event=event, flight=2)
    move(event, 1)
    assert (called(earlier), called(later)) == (of_flight(event, 1), [])
    second.session = later
    second.save()
    assert (called(earlier), called(later)) == ([], [*of_flight(event, 2), *of_flight(event, 1)])
    earlier.delete()
    second.session = here
    second.save()
    assert called(later) == of_flight(event, 1)


def test_athletes_jump_from_the_board_and_into_the_sand_of_the_pit_they_are_at(event, pits):
    here, there = pits
    SessionPartFactory(session=here, event=event)
    for entry in state_of(event).flights[0]:
        actions.set_board(event_id=event.pk, entry=entry, board_cm=100, **DESK_BY)
    move(event, 1)
    assert {turn.board_cm for turn in queue_of(there)} == {200}
    up = queue_of(there)[0].turn
    asked = {"event_id": event.pk, "turn": up, **PIT_BY}
    short, far, right = (actions.record_trial(trial=mark, **asked) for mark in ("1.80", "9.10", "5.00"))
    assert [[q.kind for q in outcome.questions] for outcome in (short, far, right)] == [["cannot be"]] * 2 + [[]]
    assert "(2.00 to 9.00 m)" in far.questions[0].sentence
    assert state_of(event).alarms == ()


def test_the_page_of_the_pit_has_the_flight_with_its_board_and_the_other_page_has_not(event, pits):
    here, there = pits
    SessionPartFactory(session=here, event=event, flight=1)
    assert (screen_of(there).up, screen_of(here).up.turn.entry) == (None, state_of(event).flights[0][0])
    for entry in state_of(event).flights[0]:
        actions.set_board(event_id=event.pk, entry=entry, board_cm=100, **DESK_BY)
    move(event, 1)
    up = screen_of(there).up
    assert (screen_of(here).up, up.turn.entry, up.board_cm) == (None, state_of(event).flights[0][0], 200)


def test_no_alarm_about_the_sand_of_the_pit_that_was_left(event, pits):
    """Jumped 1.50 m at the first pit from 1 m; the board at the second is farther away. And the others stay checked."""
    SessionPartFactory(session=pits[0], event=event)
    first, second = state_of(event).flights
    for entry in (first[0], second[0]):
        actions.set_board(event_id=event.pk, entry=entry, board_cm=200, **DESK_BY)
        turn = next(t.turn for t in state_of(event).turns if t.turn.entry == entry)
        actions.record_trial(event_id=event.pk, turn=turn, trial="1.50", answered=True, **PIT_BY)
    assert [alarm.entries for alarm in state_of(event).alarms] == [(first[0],), (second[0],)]
    move(event, 1)
    assert [alarm.entries for alarm in state_of(event).alarms] == [(second[0],)]


def listed(session):
    """What the list of the day says of each session."""
    lines, _day = sessions_on(session.pit.meet.date)
    return {line.session.pit.name: line.events for line in lines}


@pytest.mark.parametrize("parts", [[0], [1, 2]])
def test_the_event_its_sheets_and_the_list_of_sessions_go_by_where_flights_are_now(event, pits, parts):
    here, there = pits
    for flight in parts:
        SessionPartFactory(session=here, event=event, flight=flight, block=max(flight, 1))
    assert (event_page(event).sessions, listed(here)) == ((here,), {"Pit 1": (event.name,), "Pit 2": ()})
    move(event, 2)
    assert (event_page(event).sessions, listed(here)) == ((here, there), dict.fromkeys(listed(here), (event.name,)))
    found = known(event, NOW)
    assert (found.about.pit, [flight.pit for flight in found.flights]) == ("Pit 1, Pit 2", ["Pit 1", "Pit 2"])
    assert [flight.starts_at != "" for flight in found.flights] == [parts != [0], False]
    move(event, 1)
    assert (event_page(event).sessions, listed(here)) == ((there,), {"Pit 1": (), "Pit 2": (event.name,)})
    found = known(event, NOW)
    assert (found.about.pit, found.only_board_cm, [flight.pit for flight in found.flights]) == ("Pit 2", 200, ["", ""])


def test_a_crew_signs_measures_and_stops_what_it_has_now(event, pits):
    here, there = pits
    SessionPartFactory(session=here, event=event)
    who = {"by": "R. Corder", "now": NOW}
    signed = {"measured": {200: 200}, "sign": True, "recorder": "pit", **who}
    sign_ready(session=there, **signed)
    stop(session=there, reason="hail", **who)
    assert (event.log.filter(kind="board_checked").exists(), state_of(event).stage is Stage.SUSPENDED) == (False, False)
    move(event, 1)
    move(event, 2)
    sign_ready(session=here, **signed)
    assert event.log.filter(kind="board_checked").exists() is False
    sign_ready(session=there, **signed)
    stop(session=there, reason="hail", **who)
    assert event.log.filter(kind="board_checked").count() == 1
    assert state_of(event).stage is Stage.SUSPENDED


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"flight": 3}, "%s has no flight 3."),
        ({"flight": 0}, "%s has no flight 0."),
        ({"pit": "Pit 9"}, "This meet has no pit named Pit 9."),
        (
            {"pit": "Pit 3"},
            "Nobody works at Pit 3: make a session for it at the desk first, so that the flight is called there.",
        ),
        ({"reason": " "}, "Please give the reason: it is kept with the decision."),
    ],
)
def test_a_flight_is_not_moved_to_where_nobody_would_call_it(event, pits, asked, says):
    SessionPartFactory(session=pits[0], event=event)
    PitFactory(meet=event.meet, name="Pit 3")
    with pytest.raises(actions.Refusal) as refused:
        actions.move_flight(**{"event_id": event.pk, "flight": 1, "pit": "Pit 2", **WHY, **asked})
    assert str(refused.value) == (says % event.name if "%s" in says else says)
