"""Team standings: places into points, shares, guests, penalties."""

from datetime import UTC, datetime
from fractions import Fraction

import pytest

from meets.models import Penalty
from meets.running import actions
from meets.running.reads import state_of
from meets.running.team_points import show_points, standings_of
from scoring.log import Turn
from tests.factories import EntryFactory, EventFactory, MeetFactory, SchoolFactory

NOW = datetime(2027, 6, 12, 10, 0, tzinfo=UTC)
BY = {"by": "Recorder", "recorder": "pit", "now": NOW}


@pytest.mark.parametrize(
    ("points", "shown"),
    [
        (Fraction(8), "8"),
        (Fraction(15, 2), "7½"),
        (Fraction(19, 3), "6⅓"),
        (Fraction(1, 2), "½"),
        (Fraction(17, 7), "2 3/7"),
        (Fraction(-3), "-3"),
        (Fraction(0), "0"),
    ],
)
def test_points_are_shown_exactly(points, shown):
    assert show_points(points) == shown


@pytest.mark.django_db
def test_shared_places_share_points_and_guests_take_none():
    meet = MeetFactory(rule_set="three-only")
    event = EventFactory(meet=meet, discipline="LJ")
    schools = [SchoolFactory(), SchoolFactory(), SchoolFactory()]
    guest = EntryFactory(event=event, bib="1", guest=True, athlete__school=schools[2])
    first, second = (
        EntryFactory(event=event, bib=bib, athlete__school=school)
        for bib, school in (("2", schools[0]), ("3", schools[1]))
    )
    actions.draw(event_id=event.pk, seed=1, **BY)
    for entry, mark in ((guest, "5.40"), (first, "5.12"), (second, "5.12")):
        turn = Turn(str(entry.pk), 1)
        actions.record_trial(event_id=event.pk, turn=turn, trial=mark, answered=True, **BY)
    Penalty.objects.create(meet=meet, school=schools[1], points=3, reason="late entries", by="Referee", at=NOW)
    table = [(s.place, s.code, s.points) for s in standings_of(meet).schools]
    assert table == [
        (1, schools[0].code, "7½"),
        (2, schools[1].code, "4½"),
        (3, schools[2].code, "0"),
    ]
    assert [p.place for p in state_of(event).places] == [None, 1, 1]
