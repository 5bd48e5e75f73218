"""The rules that the draw, the end of an event, points and the reach check go by: each changes what comes out."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from meets.running import actions
from meets.running.reach import reach_doubts
from meets.running.reads import people_of, state_of
from meets.running.team_points import points_in, standings_of
from tests.factories import (
    AthleteFactory,
    EntryFactory,
    EventFactory,
    MeetFactory,
    PastMarkFactory,
    SchoolFactory,
    SessionPartFactory,
)
from tests.meets.running.pit_work import DESK_BY, PIT_BY
from tests.played import once
from tests.scoring.test_rules_reckoned import DRAWS_POINTS_AND_REACH, ENTRIES_PIT_AND_SHEETS

MEETS = Path(actions.__file__).parents[1]
STRINGS = ["B", "", "A", "A", "B", "A"]
SHORT = {"rounds": "1", "cuts": "", "reorder_before": ""}


def field_of(event, schools=2):
    codes = [SchoolFactory() for _ in range(schools)]
    return [
        EntryFactory(
            event=event, bib=str(n), seed_mark=400 + 7 * n % 60, board_cm=None, string=STRINGS[n % 6],
            athlete=AthleteFactory(school=codes[n // 3 % schools]),
        )
        for n in range(1, 13)
    ]  # fmt: skip


def drawn(event):
    actions.draw(event_id=event.pk, seed=3, **DESK_BY)
    people = people_of(event)
    return [[people[entry].bib for entry in flight] for flight in state_of(event).flights]


def abandoned(event):
    """After two rounds of two."""
    actions.draw(event_id=event.pk, seed=3, **DESK_BY)
    for _ in range(2 * len(state_of(event).entries)):
        turn = state_of(event).callable[0].turn
        actions.record_trial(event_id=event.pk, turn=turn, trial="5.00", answered=True, **PIT_BY)
    actions.abandon(event_id=event.pk, reason="lightning", **DESK_BY)
    return state_of(event).counted_rounds


def jumped(event, marks):
    actions.draw(event_id=event.pk, seed=3, **DESK_BY)
    once(event, lambda: _jump(event, marks), *marks.items())


def _jump(event, marks):
    by_bib = {person.bib: key for key, person in people_of(event).items()}
    for bib, mark in marks.items():
        turn = next(t.turn for t in state_of(event).turns if t.turn.entry == by_bib[bib])
        actions.record_trial(event_id=event.pk, turn=turn, trial=mark, answered=True, in_call_order=False, **PIT_BY)


def points(event):
    marks = {str(n): f"4.{99 - n}" for n in range(1, 13)}
    jumped(event, marks)
    return points_in(state_of(event), 12)


def lone(event):
    """Of the second school only a B string is there."""
    event.entries.filter(bib__in=["3", "4", "5", "9", "10", "11"]).exclude(string="B").delete()
    jumped(event, {entry.bib: f"4.{99 - int(entry.bib)}" for entry in event.entries.all()})
    return points_in(state_of(event), 12)


def totals(event):
    """One school has a first place, the other as many points without one."""
    jumped(event, {"3": "5.00", "1": "4.90", "2": "4.80"})
    return [line.place for line in standings_of(event.meet).schools]


def doubts(event, mark_cm=500, board_cm=100):
    entry = event.entries.first()
    PastMarkFactory(athlete=entry.athlete, discipline=event.discipline, mark_cm=mark_cm)
    SessionPartFactory(event=event, session__pit__sand_cm=800)
    return reach_doubts(event, [entry], {str(entry.pk): board_cm})[str(entry.pk)]


def near(event):
    return doubts(event, 220, 100)


def far(event):
    return doubts(event, 855, 100)


def steps(event):
    return doubts(event, 1250, 900)


CHECKS = {
    "first_order": (drawn, {"flight_size": "5"}, "seeded", "LJ"),
    "flight_size": (drawn, {}, "5", "LJ"),
    "spread_schools": (drawn, {}, "yes", "LJ"),
    "a_before_b": (drawn, {}, "yes", "LJ"),
    "abandon_rounds": (abandoned, {}, "2", "LJ"),
    "points": (points, SHORT, "3 2 1", "LJ"),
    "points_by_schools": (points, SHORT, "yes", "LJ"),
    "scorers_per_school": (points, SHORT, "1", "LJ"),
    "over_limit": (points, SHORT, "are skipped", "LJ"),
    "better_is_a": (points, SHORT | {"b_table": "yes", "b_points": "2 1"}, "yes", "LJ"),
    "lone_b_moves_up": (lone, SHORT | {"b_table": "yes", "b_points": "2 1"}, "no", "LJ"),
    "b_table": (points, SHORT | {"b_points": "2 1"}, "yes", "LJ"),
    "b_points": (points, SHORT | {"b_table": "yes", "b_points": "2 1"}, "5 4", "LJ"),
    "equal_totals": (totals, SHORT | {"points": "4 3 1"}, "most firsts", "LJ"),
    "reach_margin_cm": (near, {"few_marks": "0", "young_under": "0"}, "150", "LJ"),
    "reach_margin_young_cm": (near, {}, "100", "LJ"),
    "young_under": (near, {"few_marks": "0", "young_under": "0"}, "30", "LJ"),
    "few_marks": (near, {"young_under": "0"}, "0", "LJ"),
    "sand_end_margin_cm": (far, {}, "20", "LJ"),
    "jump_share_percent": (steps, {"few_marks": "0", "young_under": "0"}, "20", "TJ"),
}


def outcome(check, changes, discipline):
    """What comes out in a meet of its own."""
    meet = MeetFactory(rule_changes=changes)
    event = EventFactory(meet=meet, discipline=discipline)
    if check is totals:
        first, second = SchoolFactory(), SchoolFactory()
        for bib, school in (("1", first), ("2", first), ("3", second)):
            EntryFactory(event=event, bib=bib, athlete=AthleteFactory(school=school))
    elif check is abandoned:
        EntryFactory.create_batch(2, event=event)
    elif check in (near, far, steps):
        EntryFactory(event=event, seed_mark=None, athlete=AthleteFactory(born=date(2010, 1, 1)))
    else:
        field_of(event)
    return _without_keys(check(event), event)


def _without_keys(found, event):
    """Keys differ from meet to meet: bibs in their place."""
    bibs = {str(entry.pk): entry.bib for entry in event.entries.all()}
    if isinstance(found, tuple):
        return [replace(one, entry=bibs[one.entry], school="") for one in found]
    return found


@pytest.mark.django_db
@pytest.mark.parametrize("name", CHECKS)
def test_a_field_changes_what_comes_out(name):
    check, beside, other, discipline = CHECKS[name]
    assert outcome(check, beside, discipline) != outcome(check, beside | {name: other}, discipline)


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["few_marks", "flight_size", "points"])
def test_the_same_rules_give_the_same(name):
    check, beside, _other, discipline = CHECKS[name]
    assert outcome(check, beside, discipline) == outcome(check, beside, discipline)


def test_no_field_is_left_out():
    assert set(CHECKS) == DRAWS_POINTS_AND_REACH


@pytest.mark.parametrize("name", sorted(ENTRIES_PIT_AND_SHEETS))
def test_what_is_reckoned_elsewhere_is_read_there(name):
    """Only that something besides the pages of rules reads the field; what it does is tested with what reads it."""
    reading = [
        path
        for path in MEETS.rglob("*.py")
        if "rules" not in path.parent.name and f".{name}" in path.read_text(encoding="utf-8")
    ]
    assert len(reading) >= 1
