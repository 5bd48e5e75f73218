from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.standings import Penalty, SchoolTotal, Ties, TotalLine, team_totals
from scoring.teams import EIGHT_PLACES, EntryPoints, NoPoints, NotAScore, ScoringLine, event_points


def event(text):
    """Points from "M1:8 T2:7": school, position, points; "B" after the school is the table of B strings."""
    scored = []
    for number, word in enumerate(text.split()):
        who, points = word.split(":")
        table = "B" if who[1] == "B" else ""
        position = int(who.removeprefix(who[0] + table))
        scored.append(EntryPoints(f"e{number}", who[0], table, position, Fraction(points)))
    return scored


def standing(totals):
    return " ".join(f"{total.place}{total.school}:{total.points}" for total in totals)


@pytest.mark.parametrize(
    ("events", "ties", "order"),
    [
        (["M1:8 T2:7", "T1:8 M2:7 M3:6"], Ties.EQUAL, "1M:21 2T:15"),
        (["M1:15/2 T1:15/2 B3:6", "B1:8 T2:7"], Ties.EQUAL, "1T:29/2 2B:14 3M:15/2"),
        # equal totals stay equal, the next number is skipped
        (["M1:8 T2:7 B3:6", "T1:8 M2:7 B3:6"], Ties.EQUAL, "1M:15 1T:15 3B:12"),
        (["M1:8 T2:7 B3:6", "T1:8 M2:7 B3:6"], Ties.MOST_FIRSTS, "1M:15 1T:15 3B:12"),
        # 14 each: one with a first, one with two seconds
        (["T2:7 M3:6", "M1:8 T2:7"], Ties.EQUAL, "1M:14 1T:14"),
        (["T2:7 M3:6", "M1:8 T2:7"], Ties.MOST_FIRSTS, "1M:14 2T:14"),
        # a first each: a second decides before two thirds
        (["M1:8 T1:8 M2:7 T3:6 T8:1"], Ties.MOST_FIRSTS, "1M:15 2T:15"),
        # a first in the table of B strings is no first
        (["MB1:8 T1:8"], Ties.MOST_FIRSTS, "1T:8 2M:8"),
        # the total comes before the firsts
        (["M1:8 T2:7 T3:6"], Ties.MOST_FIRSTS, "1T:13 2M:8"),
        ([], Ties.EQUAL, ""),
    ],
)
def test_order_of_the_schools(events, ties, order):
    totals = team_totals({f"event {n}": event(text) for n, text in enumerate(events)}, ties=ties)
    assert standing(totals) == order


def test_schools_of_the_match_are_listed_even_without_points():
    assert standing(team_totals({"LJ": event("M1:8")}, schools=["T", "M", "B"])) == "1M:8 2B:0 2T:0"


def test_a_school_that_only_sends_guests_is_not_in_the_match():
    guest = EntryPoints("e1", "G", no_points=NoPoints.GUEST)
    without_mark = EntryPoints("e2", "M", no_points=NoPoints.NO_MARK)
    assert standing(team_totals({"LJ": [guest, without_mark]})) == "1M:0"


def test_a_penalty_is_a_line_of_its_own():
    totals = team_totals(
        {"LJ": event("M1:8 T2:7"), "TJ": event("M2:7")},
        penalties=[Penalty("M", 9, "ineligible athlete"), Penalty("B", Fraction(1, 2), "late entries")],
    )
    assert totals == (
        SchoolTotal("T", 1, Fraction(7), (0, 1), (TotalLine(Fraction(7), "LJ", "e1", "", 2),)),
        SchoolTotal(
            "M",
            2,
            Fraction(6),
            (1, 1),
            (
                TotalLine(Fraction(8), "LJ", "e0", "", 1),
                TotalLine(Fraction(7), "TJ", "e0", "", 2),
                TotalLine(Fraction(-9), reason="ineligible athlete"),
            ),
        ),
        SchoolTotal("B", 3, Fraction(-1, 2), (), (TotalLine(Fraction(-1, 2), reason="late entries"),)),
    )


def test_a_penalty_never_gives_points():
    with pytest.raises(NotAScore) as refusal:
        team_totals({}, penalties=[Penalty("M", -3, "typing slip")])
    assert (refusal.value.value, refusal.value.expected) == (-3, "the points taken away, not below zero")


def test_a_warning_without_points_taken_is_a_line_too():
    (total,) = team_totals({}, penalties=[Penalty("M", 0, "late entries")])
    assert total.lines == (TotalLine(Fraction(0), reason="late entries"),)


@given(st.lists(st.lists(st.sampled_from("MTBE"), max_size=10), max_size=4), st.sampled_from(Ties))
def test_every_point_of_the_events_is_in_one_total(fields, ties):
    events = {
        f"event {n}": event_points(
            [ScoringLine(f"e{place}", school, "", place) for place, school in enumerate(schools, 1)],
            points=EIGHT_PLACES,
        )
        for n, schools in enumerate(fields)
    }
    totals = team_totals(events, ties=ties)
    scored = [entry.points for entries in events.values() for entry in entries]
    assert sum(total.points for total in totals) == sum(scored)
    assert all(total.points == sum(line.points for line in total.lines) for total in totals)
    assert [total.points for total in totals] == sorted((total.points for total in totals), reverse=True)
