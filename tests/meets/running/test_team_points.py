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


def jumped(entry, mark, event, round=1):
    turn = Turn(str(entry.pk), round)
    actions.record_trial(event_id=event.pk, turn=turn, trial=mark, answered=True, in_call_order=False, **BY)


def table(meet):
    return {s.code: s.points for s in standings_of(meet).schools}


@pytest.fixture
def contest(db):
    """An event of three schools, one trial each; the third sends an athlete of a class of its own too."""
    meet = MeetFactory(rule_set="three-only")
    event = EventFactory(meet=meet, discipline="LJ")
    schools = [SchoolFactory() for _ in range(3)]
    entries = [EntryFactory(event=event, athlete__school=school) for school in schools]
    other = EntryFactory(event=event, athlete__school=schools[2], klass="T20")
    actions.draw(event_id=event.pk, seed=1, **BY)
    for entry, mark in zip(entries, ("5.10", "5.00", "4.90"), strict=True):
        jumped(entry, mark, event)
    jumped(other, "4.50", event)
    return meet, event, entries, other, [school.code for school in schools]


def test_a_class_of_its_own_shares_no_points_with_the_same_place_of_another(contest):
    meet, _event, _entries, _other, codes = contest
    assert table(meet) == dict(zip(codes, ("8", "7", "14"), strict=True))


def test_disqualified_withdrawn_and_without_a_mark_score_nothing_and_those_below_move_up(contest):
    meet, event, entries, other, codes = contest
    actions.disqualify(event_id=event.pk, entry=str(entries[0].pk), reason="not of age", **BY)
    actions.void_trial(event_id=event.pk, turn=Turn(str(other.pk), 1), reason="nobody jumped", **BY)
    jumped(other, "x", event)
    assert table(meet) == dict(zip(codes, ("0", "8", "7"), strict=True))


def test_an_event_without_a_result_scores_nothing(contest):
    meet, event, _entries, _other, codes = contest
    actions.abandon(event_id=event.pk, reason="lightning", **BY)
    assert state_of(event).counted_rounds == 0
    assert table(meet) == dict.fromkeys(codes, "0")
    standings = standings_of(meet)
    assert (standings.finished, standings.total, [s.place for s in standings.schools]) == (1, 1, [1, 1, 1])


def test_points_go_by_a_rule_changed_on_the_day(contest):
    meet, event, _entries, _other, codes = contest
    actions.change_rule(event_id=event.pk, field="points", value="3 2 1", reason="agreed by the schools", **BY)
    assert table(meet) == dict(zip(codes, ("3", "2", "4"), strict=True))


def test_a_school_with_a_penalty_and_no_entry_is_called_by_its_name(contest):
    meet, *_rest = contest
    absent = SchoolFactory()
    Penalty.objects.create(meet=meet, school=absent, points=2, reason="did not come", by="Referee", at=NOW)
    last = standings_of(meet).schools[-1]
    assert (last.code, last.name, last.points) == (absent.code, absent.name, "-2")
