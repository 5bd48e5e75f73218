"""The call order of a pit session: blocks, rounds, flights, and somebody away in a shared list (common practice)."""

from dataclasses import replace

from scoring.callorder import CONSECUTIVE, SessionPart, session_turns
from scoring.log import Turn
from scoring.state import NextTurn


def turns(text, flight=1):
    """`a1 b1 (c1)`: entry and round, in brackets for somebody away."""
    return tuple(
        NextTurn(Turn(word.strip("()")[0], int(word.strip("()")[1:])), flight, away=word.startswith("("))
        for word in text.split()
    )


def called(*parts):
    return " ".join(f"{item.turn.turn.entry}{item.turn.turn.round}" for item in session_turns(parts))


def test_two_events_in_a_block_are_one_list_round_by_round():
    first = SessionPart(1, "U14", 0, turns("a1 b1 a2 b2"))
    second = SessionPart(1, "U16", 0, turns("c1 c2"))
    assert called(first, second) == "a1 b1 c1 a2 b2 c2"


def test_nobody_of_a_block_goes_past_a_round_in_which_somebody_is_away():
    first = SessionPart(1, "U14", 0, turns("(a1)"))
    second = SessionPart(1, "U16", 0, turns("c1 c2 c3"))
    later = SessionPart(2, "U18", 0, turns("d1 d2"))
    assert called(first, second, later) == "a1 c1 d1 d2"


def test_an_event_that_waits_for_its_cut_does_not_hold_the_other():
    first = SessionPart(1, "U14", 0, ())
    second = SessionPart(1, "U16", 0, turns("c4 c5", flight=0))
    assert called(first, second) == "c4 c5"


def test_after_the_cut_one_group_follows_the_other_in_each_round():
    first = SessionPart(1, "U14", 0, turns("a4 b4 a5 b5", flight=0))
    second = SessionPart(1, "U16", 0, turns("c4 (d4) c5", flight=0))
    assert called(first, second) == "a4 b4 c4 d4 a5 b5 c5"


def test_flights_of_one_part_follow_one_another():
    both = turns("a1 a2") + turns("b1 b2", flight=2)
    assert called(SessionPart(1, "U14", 0, both)) == "a1 a2 b1 b2"
    assert called(SessionPart(1, "U14", 2, both)) == "b1 b2"


def test_where_no_round_waits_the_block_goes_past_somebody_away():
    first = SessionPart(1, "U14", 0, turns("(a1) b1 (a2) b2"), waits=False)
    second = SessionPart(1, "U16", 0, turns("c1 c2"), waits=False)
    assert called(first, second) == "a1 b1 c1 a2 b2 c2"
    assert called(first, second._replace(waits=True)) == "a1 b1 c1 a2 b2 c2"


def test_trials_one_after_another_stay_together_in_a_shared_list():
    a2, a3 = turns("a2 a3")
    first = SessionPart(1, "U14", 0, (a2, replace(a3, why=CONSECUTIVE)))
    second = SessionPart(1, "U16", 0, turns("c2 c3"))
    assert called(first, second) == "a2 a3 c2 c3"


def test_a_flight_that_has_moved_away_is_not_called():
    both = (*turns("a1 a2", flight=1), *turns("b1 b2", flight=2))
    assert called(SessionPart(1, "U14", 0, both, moved=(2,))) == "a1 a2"
