from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.teams import (
    EIGHT_PLACES,
    EIGHT_PLACES_TEN_FOR_THE_FIRST,
    NoPoints,
    NotAScore,
    OverLimit,
    ScoringLine,
    event_points,
    match_points,
)


def field(text):
    """Lines from "M-A-1 T-B-2 ..."; place "g3" is a guest with that mark, "nm" no mark, "dq" no place,
    "dns" did not take part."""
    lines = []
    for number, word in enumerate(text.split()):
        school, string, place = word.split("-")
        lines.append(
            ScoringLine(
                f"e{number}",
                school,
                string,
                int(place) if place.isdigit() else None,
                guest=place.startswith("g"),
                has_mark=place not in ("nm", "dns"),
                took_part=place != "dns",
            )
        )
    return lines


def points_of(text, **fields):
    return " ".join(str(scored.points) for scored in event_points(field(text), **fields))


@pytest.mark.parametrize(
    ("text", "points"),
    [
        ("M-A-1 T-A-2 B-A-3", "8 7 6"),
        # two tied first: 7.5 each; the next number is skipped
        ("M-A-1 T-A-1 B-A-3", "15/2 15/2 6"),
        # three share second, third and fourth: (7 + 6 + 5) / 3
        ("M-A-1 T-A-2 B-A-2 E-A-2 Q-A-5", "8 6 6 6 4"),
        # three share seventh: (2 + 1 + 0) / 3
        ("A--1 B--2 C--3 D--4 E--5 F--6 G--7 H--7 I--7", "8 7 6 5 4 3 1 1 1"),
        # four share seventh: 3/4 each
        ("A--1 B--2 C--3 D--4 E--5 F--6 G--7 H--7 I--7 J--7", "8 7 6 5 4 3 3/4 3/4 3/4 3/4"),
        ("A--1 B--2 C--3 D--4 E--5 F--6 G--7 H--8 I--9", "8 7 6 5 4 3 2 1 0"),
        # the order of the lines means nothing
        ("T-A-2 B-A-3 M-A-1", "7 6 8"),
        # no mark, no place, did not start
        ("M-A-nm T-A-1 B-A-dq E-A-dns", "0 8 0 0"),
        # a guest never scores; the first scorer gets the first's points, whatever number the place carries
        ("M-A-g1 T-A-1 B-A-2", "0 8 7"),
        ("M-A-g1 T-A-2 B-A-3", "0 8 7"),
        ("", ""),
    ],
)
def test_points_by_place(text, points):
    assert points_of(text, points=EIGHT_PLACES) == points


def test_tables_of_points():
    assert points_of("M-A-1 T-A-1 B-A-3", points=EIGHT_PLACES_TEN_FOR_THE_FIRST) == "9 9 6"
    assert EIGHT_PLACES == match_points(8) == (8, 7, 6, 5, 4, 3, 2, 1)
    assert EIGHT_PLACES_TEN_FOR_THE_FIRST == (10, 8, 6, 5, 4, 3, 2, 1)
    # five schools in the match, two of which send nobody: still five points for the first
    assert points_of("M-A-1 T-A-2 B-A-3", points=match_points(5)) == "5 4 3"
    assert points_of("M-A-1 T-A-1", points=(Fraction(1, 2), Fraction(1, 3))) == "5/12 5/12"


@pytest.mark.parametrize(
    ("text", "limit", "over_limit", "points"),
    [
        ("M-A-1 M-B-2 M-C-3 T-A-4", 2, OverLimit.SKIPPED, "8 7 0 6"),
        ("M-A-1 M-B-2 M-C-3 T-A-4", 2, OverLimit.TAKE_UP_A_PLACE, "8 7 0 5"),
        ("M-A-1 M-B-2 M-C-3 T-A-4", 0, OverLimit.SKIPPED, "8 7 6 5"),
        ("M-A-1 M-B-2 T-A-3 M-C-4", 1, OverLimit.SKIPPED, "8 0 7 0"),
        # the third of a school shares third place: alone, the other school gets 6; sharing it is (6 + 5) / 2
        ("M-A-1 M-B-2 M-C-3 T-A-3", 2, OverLimit.SKIPPED, "8 7 0 6"),
        ("M-A-1 M-B-2 M-C-3 T-A-3", 2, OverLimit.TAKE_UP_A_PLACE, "8 7 0 11/2"),
        # schoolmates who share a place: the A string is the one who scores
        ("M-B-1 M-A-1 T-A-3", 1, OverLimit.SKIPPED, "0 8 7"),
        ("M--1 M-A-1 T-A-3", 1, OverLimit.SKIPPED, "0 8 7"),
        # those without a mark do not use the limit up
        ("M-A-nm M-B-1 M-C-2", 2, OverLimit.SKIPPED, "0 8 7"),
    ],
)
def test_scorers_per_school(text, limit, over_limit, points):
    assert points_of(text, points=EIGHT_PLACES, scorers_per_school=limit, over_limit=over_limit) == points


def test_a_limit_is_a_number_of_scorers():
    with pytest.raises(NotAScore) as refusal:
        event_points(field("M-A-1"), points=EIGHT_PLACES, scorers_per_school=-1)
    assert (refusal.value.value, refusal.value.expected) == (-1, "a number of scorers per school, 0 for all")


def test_without_a_limit_all_score_and_a_lone_b_moves_up():
    assert points_of("M-A-1 M-B-2 M-C-3", points=EIGHT_PLACES) == "8 7 6"
    lone = [ScoringLine("e1", "M", "B", 1), ScoringLine("e2", "T", "A", 2)]
    assert [scored.table for scored in event_points(lone, points=(6, 4), b_points=(5, 3))] == ["A", "A"]
    pair = [ScoringLine("e1", "M", "B", 1), ScoringLine("e2", "M", "A", None, has_mark=False)]
    assert [scored.table for scored in event_points(pair, points=(6, 4), b_points=(5, 3))] == ["B", ""]


DECLARED, BETTER = False, True


@pytest.mark.parametrize(
    ("text", "better_is_a", "lone_b_moves_up", "counted"),
    [
        # tables of 6-4-2 for A strings and 5-3-1 for B strings
        ("M-A-1 M-B-2 T-A-3 T-B-4", DECLARED, True, "A6 B5 A4 B3"),
        ("M-B-1 M-A-2 T-B-3 T-A-4", DECLARED, True, "B5 A6 B3 A4"),
        ("M-B-1 M-A-2 T-B-3 T-A-4", BETTER, True, "A6 B5 A4 B3"),
        ("M-A-1 M-B-2 T-A-3 T-B-4", BETTER, True, "A6 B5 A4 B3"),
        # places shared across the tables are no shared places in either; inside one they are
        ("M-A-1 T-B-1 T-A-3", DECLARED, True, "A6 B5 A4"),
        ("M-A-1 T-A-1 T-B-3", DECLARED, True, "A5 A5 B5"),
        # a B string whose A did not start is lone
        ("M-A-dns M-B-1 T-A-2", DECLARED, True, "-0 A6 A4"),
        ("M-A-dns M-B-1 T-A-2", DECLARED, False, "-0 B5 A6"),
        ("M-A-dns M-B-1 T-A-2", BETTER, True, "-0 A6 A4"),
        ("M-A-dns M-B-1 T-A-2", BETTER, False, "-0 B5 A6"),
        ("M-B-1 T-A-2", DECLARED, True, "A6 A4"),
        # one whose A jumped without a valid mark is not, but is the better of the pair
        ("M-A-nm M-B-1 T-A-2", DECLARED, True, "-0 B5 A6"),
        ("M-A-nm M-B-1 T-A-2", BETTER, True, "-0 A6 A4"),
        # a guest of the same school takes nobody's string
        ("M-A-g1 M-B-1 T-A-2", DECLARED, True, "-0 A6 A4"),
        # undeclared strings: the better two of the school
        ("M--1 M--2 M--3 T--4", BETTER, True, "A6 B5 -0 A4"),
        ("M--1 T-A-2", DECLARED, True, "-0 A6"),
        # a C string scores in neither table
        ("M-C-1 M-A-2 M-B-3", BETTER, True, "-0 A6 B5"),
        ("M-A-1 M-A-2 M-B-3", DECLARED, True, "A6 -0 B5"),
        ("M-B-1 M-B-2", DECLARED, True, "A6 B5"),
        ("M-B-1 M-B-2", DECLARED, False, "B5 -0"),
        # equal schoolmates: the declared A stays A
        ("M-B-1 M-A-1", BETTER, True, "B5 A6"),
    ],
)
def test_a_and_b_strings(text, better_is_a, lone_b_moves_up, counted):
    scored = event_points(
        field(text), points=(6, 4, 2), b_points=(5, 3, 1), better_is_a=better_is_a, lone_b_moves_up=lone_b_moves_up
    )
    assert " ".join(f"{entry.table or '-'}{entry.points}" for entry in scored) == counted


@pytest.mark.parametrize(
    ("text", "fields", "told"),
    [
        (
            "M-A-g1 M-B-nm T-A-dq T-B-1",
            {},
            [("", None, NoPoints.GUEST), ("", None, NoPoints.NO_MARK), ("", None, NoPoints.NO_PLACE), ("", 1, None)],
        ),
        (
            "M-A-1 M-B-2 T-A-3",
            {"scorers_per_school": 1, "over_limit": OverLimit.SKIPPED},
            [("", 1, None), ("", None, NoPoints.OVER_THE_LIMIT), ("", 2, None)],
        ),
        (
            "M-A-1 M-B-2 T-A-3",
            {"scorers_per_school": 1},
            [("", 1, None), ("", 2, NoPoints.OVER_THE_LIMIT), ("", 3, None)],
        ),
        (
            "M-C-1 M-A-2 M-A-3 M-B-4",
            {"b_points": (1,)},
            [("", None, NoPoints.NO_STRING), ("A", 1, None), ("", None, NoPoints.OVER_THE_LIMIT), ("B", 1, None)],
        ),
    ],
)
def test_each_entry_is_told_its_table_its_position_and_why_not(text, fields, told):
    scored = event_points(field(text), points=EIGHT_PLACES, **fields)
    assert [(entry.table, entry.position, entry.no_points) for entry in scored] == told


def placed(ranks):
    """Places as a ranking gives them: equal ranks share, the next number is skipped."""
    return [1 + sum(other < rank for other in ranks) for rank in ranks]


RANKS = st.lists(st.integers(0, 6), max_size=14)


@given(RANKS)
def test_no_point_is_lost_or_made(ranks):
    lines = [ScoringLine(f"e{n}", f"s{n}", "A", place) for n, place in enumerate(placed(ranks))]
    scored = event_points(lines, points=EIGHT_PLACES)
    assert sum(entry.points for entry in scored) == sum(EIGHT_PLACES[: len(lines)])


@given(RANKS, st.integers(1, 3))
def test_nobody_below_scores_more_and_no_school_over_its_limit(ranks, limit):
    lines = [ScoringLine(f"e{n}", "MTB"[n % 3], "", place) for n, place in enumerate(placed(ranks))]
    scored = event_points(lines, points=EIGHT_PLACES, scorers_per_school=limit)
    for school in "MTB":
        assert sum(entry.school == school and entry.no_points is None for entry in scored) <= limit
    by_place = sorted(
        ((line.place, entry.points) for line, entry in zip(lines, scored, strict=True) if not entry.no_points),
        key=lambda row: row[0],
    )
    assert [points for _, points in by_place] == sorted((points for _, points in by_place), reverse=True)
