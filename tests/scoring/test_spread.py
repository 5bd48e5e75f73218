from itertools import pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.spread import gap_wanted, spread_apart

SCHOOLS = st.text(alphabet="MTBE", max_size=16)


@pytest.mark.parametrize(
    ("schools", "gap"),
    [
        ("", 2),
        ("M", 2),
        ("MT", 2),
        ("MM", 2),
        ("MMT", 2),
        ("MMTT", 2),
        ("MMMT", 2),
        ("MMMTT", 2),
        # six schools with two each could be six apart: half of that is wanted
        ("ABCDEF" * 2, 3),
        ("ABCDEFGHI" * 2, 5),
        ("ABCD" * 3, 2),
    ],
)
def test_the_gap_wanted(schools, gap):
    assert gap_wanted(schools) == gap


@pytest.mark.parametrize(
    ("lot", "order"),
    [
        ("", ""),
        ("MTBE", "MTBE"),
        ("MMT", "MTM"),
        ("TMM", "MTM"),
        ("MMMTTB", "MTMTMB"),
        ("MMMM", "MMMM"),
        ("MMMT", "MTMM"),
        # a school that needs every other place left goes now; taking the largest first would give MBEM
        ("BEMM", "BMEM"),
        # no school needs to go at once, and yet the lot runs out of schools: the largest first
        ("BETMMQQ", "MQBETMQ"),
        ("BMEQTQT", "QTBMEQT"),
        # the first of the lot that may go goes: a lot that is spread already stays as it is
        ("MTBEMTBE", "MTBEMTBE"),
        ("TMBEMTBE", "TMBEMTBE"),
    ],
)
def test_an_order_moved_apart(lot, order):
    assert "".join(spread_apart(lot, school=str)) == order


@pytest.mark.parametrize(
    ("before", "lot", "order"),
    [("M", "MTB", "TMB"), ("M", "MMTT", "TMTM"), ("BT", "TTMM", "MTMT"), ("M", "MMT", "MTM")],
)
def test_those_who_jump_before_are_kept_apart_from_too_where_possible(before, lot, order):
    assert "".join(spread_apart(lot, school=str, before=before)) == order


def closest(order):
    gaps = [second - first for second in range(len(order)) for first in range(second) if order[first] == order[second]]
    return min(gaps, default=len(order) + 2)


def possible(lot, gap):
    """The largest schools fill every gap-th place, the last of each in a row at the end."""
    most = max(map(lot.count, lot), default=1)
    largest = sum(lot.count(school) == most for school in set(lot))
    return (most - 1) * gap + largest <= len(lot)


@given(SCHOOLS, SCHOOLS)
def test_everybody_stays_and_the_gap_is_kept_whoever_jumped_before(lot, before):
    order = spread_apart(lot, school=str, before=before)
    assert sorted(order) == sorted(lot)
    gap = gap_wanted(lot)
    assert (closest(order) >= gap) == possible(lot, gap)


@given(st.text(alphabet="MTB", max_size=7))
def test_no_order_has_fewer_neighbours(lot):
    def neighbours(order):
        return sum(first == second for first, second in pairwise(order))

    assert neighbours(spread_apart(lot, school=str)) == min(map(neighbours, permutations(lot)))


@given(st.lists(st.tuples(st.sampled_from("MTB"), st.integers()), unique=True, max_size=12))
def test_schoolmates_keep_the_order_of_the_lot_among_themselves(lot):
    order = spread_apart(lot, school=lambda athlete: athlete[0])
    assert [[athlete for athlete in order if athlete[0] == school] for school in "MTB"] == [
        [athlete for athlete in lot if athlete[0] == school] for school in "MTB"
    ]
