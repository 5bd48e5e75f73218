"""Doubts about a board in words."""

import pytest

from meets.running.reach import reach_doubts, reach_words
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
