"""Doubts about a board in words."""

import pytest

from meets.running.reach import reach_by_board, reach_doubts, reach_words
from scoring.boards import reach_check
from tests.factories import EntryFactory, EventFactory, PastMarkFactory, SessionPartFactory


@pytest.mark.parametrize(
    ("reach_cm", "says"),
    [
        (1100, "Board 2 m, known reach 11.00 m: would land 1.00 m past the end of the sand."),
        (970, "Board 2 m, known reach 9.70 m: lands only 0.30 m before the end of the sand."),
    ],
)
def test_the_far_end_of_the_sand_is_a_doubt_too(db, reach_cm, says):
    assert reach_words(reach_check(board_cm=200, sand_cm=800, seed_cm=reach_cm)) == says


def test_doubts_take_as_many_queries_for_three_as_for_one(db, django_assert_num_queries):
    event = EventFactory(discipline="TJ", age_group="U20")
    SessionPartFactory(event=event, session__pit__sand_cm=800)
    entries = EntryFactory.create_batch(3, event=event, board_cm=1300)
    for entry in entries:
        PastMarkFactory(athlete=entry.athlete, discipline="TJ", mark_cm=1120)
    for some in (entries[:1], entries):
        with django_assert_num_queries(2):
            doubts = reach_doubts(event, some, {str(entry.pk): entry.board_cm for entry in some})
        assert set(doubts.values()) == {"Board 13 m, known reach 11.20 m: would land 1.80 m before the sand."}


def test_whoever_could_be_young_gets_the_wider_margin(db):
    event = EventFactory(discipline="TJ", age_group="U20")
    SessionPartFactory(event=event, session__pit__sand_cm=800)
    doubts = []
    for born in (None, event.meet.date.replace(year=event.meet.date.year - 12), event.meet.date.replace(year=2000)):
        entry = EntryFactory(event=event, board_cm=1100, athlete__born=born, seed_mark=1230)
        for _mark in range(6):
            PastMarkFactory(athlete=entry.athlete, discipline="TJ", mark_cm=1225)
        doubts.append(reach_doubts(event, [entry], {str(entry.pk): 1100})[str(entry.pk)])
    assert doubts[0] == doubts[1] != doubts[2]


def test_doubts_by_board_leave_out_those_without_one(db):
    event = EventFactory(discipline="TJ", age_group="U20")
    SessionPartFactory(event=event, session__pit__sand_cm=800)
    entry = EntryFactory(event=event, board_cm=900, seed_mark=1180)
    found = reach_by_board(event, [entry], {str(entry.pk): [900, 1100, 1300]})[str(entry.pk)]
    assert list(found) == [1100, 1300]
    assert found[1300] == reach_doubts(event, [entry], {str(entry.pk): 1300})[str(entry.pk)]
