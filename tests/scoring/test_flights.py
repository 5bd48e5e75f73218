from collections import Counter
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.flights import (
    DrawLine,
    DrawMethod,
    NotADraw,
    draw_by_lot,
    flight_sizes,
    make_flights,
    school_order,
    shuffle,
)

# The same table on every machine and every Python: a lot that was read out must come out again.
DRAWS = [
    ("ABCDEFGH", 0, "ADEHBCFG"),
    ("ABCDEFGH", 1, "ACDGHEFB"),
    ("ABCDEFGH", 2026, "CBFHEGDA"),
    ("ABCDEFGH", 123456789012, "FCEHBGAD"),
    ("HGFEDCBA", 2026, "CBFHEGDA"),
    ("A", 5, "A"),
    ("", 5, ""),
]


@pytest.mark.parametrize(("ids", "seed", "order"), DRAWS)
def test_a_lot_never_changes(ids, seed, order):
    assert draw_by_lot(ids, seed) == tuple(order)


def test_a_lot_uses_one_random_number_a_swap_and_nothing_else():
    class Counted(Random):
        calls = 0

        def random(self):
            self.calls += 1
            return 0.0

    rng = Counted()
    assert shuffle("ABCDE", rng) == ["B", "C", "D", "E", "A"]
    assert rng.calls == 4


def test_every_order_comes_up_about_as_often():
    seen = Counter(draw_by_lot("ABC", seed) for seed in range(6000))
    assert len(seen) == 6
    # Six orders at 1000 each, the standard deviation under 29: five of them either way.
    assert max(abs(times - 1000) for times in seen.values()) < 145


@pytest.mark.parametrize(
    ("starters", "largest", "sizes"),
    [
        (0, 12, ()),
        (1, 12, (1,)),
        (12, 12, (12,)),
        (13, 12, (7, 6)),
        (14, 12, (7, 7)),
        (25, 12, (9, 8, 8)),
        (36, 12, (12, 12, 12)),
        (3, 1, (1, 1, 1)),
    ],
)
def test_sizes(starters, largest, sizes):
    assert flight_sizes(starters, largest) == sizes


def test_no_flight_without_room():
    with pytest.raises(NotADraw) as refusal:
        flight_sizes(5, 0)
    assert refusal.value.value == 0


@pytest.mark.parametrize(
    ("rotation", "order"),
    [(0, "EDBCA"), (1, "DBCAE"), (4, "AEDBC"), (5, "EDBCA"), (-1, "AEDBC")],
)
def test_schools_start_in_another_order_in_each_event(rotation, order):
    assert school_order("EDCBAA", 2026, rotation) == tuple(order)


def test_the_first_event_starts_with_the_lot():
    assert school_order("ABCDE", 2026) == tuple("EDBCA")


def test_no_schools_no_order():
    assert school_order((), 2026, 3) == ()


def line(entry, school="", string="", seed_mark=None, board_cm=None):
    return DrawLine(entry, school, string, seed_mark, board_cm)


FIELD = [
    line("01", "MAR", "A", 437, 900),
    line("02", "MAR", "B", 474, 1100),
    line("03", "THO", "A", 511, 700),
    line("04", "THO", "B", 548, 900),
    line("05", "ELM", "A", None, 1100),
    line("06", "ELM", "B", 472, 700),
    line("07", "BRA", "A", 509, 900),
    line("08", "BRA", "B", 546, None),
    line("09", "QUI", "A", 433, 700),
    line("10", "QUI", "", None, 900),
]
BY_ENTRY = {one.entry: one for one in FIELD}


# Frozen draws of that field in flights of at most 6: a change here is a change of what was read out.
@pytest.mark.parametrize(
    ("method", "fields", "flights"),
    [
        (DrawMethod.LOT, {}, "06 04 08 03 10 | 01 07 09 05 02"),
        (DrawMethod.LOT, {"spread_schools": True}, "06 04 08 10 01 | 03 07 09 05 02"),
        (DrawMethod.LOT, {"a_before_b": True}, "03 01 07 09 05 | 06 04 08 02 10"),
        (DrawMethod.LOT, {"spread_schools": True, "a_before_b": True}, "03 01 07 09 05 | 04 06 08 02 10"),
        (DrawMethod.SEEDED, {}, "06 10 01 09 05 | 04 08 03 07 02"),
        (DrawMethod.SEEDED, {"spread_schools": True, "a_before_b": True}, "01 09 05 06 10 | 03 07 04 08 02"),
        (DrawMethod.BY_BOARD, {}, "08 06 03 09 04 | 10 01 07 05 02"),
        (DrawMethod.BY_BOARD, {"spread_schools": True}, "08 06 03 09 04 | 10 01 07 05 02"),
        (DrawMethod.SCHOOL_ROTATION, {}, "04 10 06 01 08 | 03 09 05 02 07"),
        (DrawMethod.SCHOOL_ROTATION, {"rotation": 1}, "10 06 01 08 04 | 09 05 02 07 03"),
        (DrawMethod.SCHOOL_ROTATION, {"rotation": 1, "a_before_b": True}, "09 05 01 07 03 | 06 02 08 04 10"),
    ],
)
def test_flights_never_change(method, fields, flights):
    drawn = make_flights(FIELD, method=method, seed=2026, largest=6, **fields)
    assert " | ".join(" ".join(flight) for flight in drawn) == flights


def test_an_entry_is_drawn_once():
    with pytest.raises(NotADraw) as refusal:
        make_flights([line("a"), line("b"), line("a")], method=DrawMethod.LOT, seed=1, largest=8)
    assert (refusal.value.value, refusal.value.expected) == ("a", "each entry once")


def test_a_method_that_there_is_not():
    with pytest.raises(ValueError, match="'alphabet' is not a valid DrawMethod"):
        make_flights([line("a")], method="alphabet", seed=1, largest=8)


@pytest.mark.parametrize("method", DrawMethod)
def test_nobody_entered_no_flights(method):
    assert make_flights([], method=method, seed=1, largest=8) == ()


@pytest.mark.parametrize("spread_schools", [True, False])
@pytest.mark.parametrize("a_before_b", [True, False])
def test_the_best_flight_is_last_and_the_unseeded_are_first(spread_schools, a_before_b):
    flights = make_flights(
        FIELD,
        method=DrawMethod.SEEDED,
        seed=7,
        largest=4,
        spread_schools=spread_schools,
        a_before_b=a_before_b,
    )
    assert [sorted(flight) for flight in flights] == [["01", "05", "09", "10"], ["02", "06", "07"], ["03", "04", "08"]]


def test_boards_change_as_seldom_as_can_be():
    flights = make_flights(FIELD, method=DrawMethod.BY_BOARD, seed=7, largest=12)
    boards = [BY_ENTRY[entry].board_cm for flight in flights for entry in flight]
    assert boards == [None, 700, 700, 700, 900, 900, 900, 900, 1100, 1100]


def test_schools_in_turn_take_the_schools_of_the_meet_that_send_nobody_into_account():
    field = [line(entry, entry[0]) for entry in ("A1", "A2", "C1", "D1", "E1")]
    flights = make_flights(field, method=DrawMethod.SCHOOL_ROTATION, seed=2026, largest=12, schools="ABCDE")
    assert "".join(entry[0] for entry in flights[0]) == "EDCAA"


def test_a_school_with_more_athletes_has_them_in_the_last_turns():
    field = [line(entry, entry[0]) for entry in ("A1", "A2", "A3", "C1", "D1", "D2")]
    flights = make_flights(field, method=DrawMethod.SCHOOL_ROTATION, seed=2026, largest=12)
    assert "".join(entry[0] for entry in flights[0]) == "DCADAA"


ENTRIES = st.lists(
    st.builds(
        DrawLine,
        st.text("0123456789", min_size=1, max_size=3),
        st.sampled_from(["MAR", "THO", "ELM", "BRA"]),
        st.sampled_from(["A", "B", "C", ""]),
        st.none() | st.integers(1, 900),
        st.sampled_from([None, 700, 900, 1100]),
    ),
    unique_by=lambda one: one.entry,
    max_size=20,
)
FIELDS = st.fixed_dictionaries(
    {
        "method": st.sampled_from(DrawMethod),
        "seed": st.integers(0, 2**40),
        "largest": st.integers(1, 12),
        "spread_schools": st.booleans(),
        "a_before_b": st.booleans(),
        "rotation": st.integers(0, 9),
    }
)


@given(ENTRIES, FIELDS, st.randoms(use_true_random=False))
def test_everybody_jumps_once_in_flights_of_the_right_sizes_whatever_order_they_came_in(lines, fields, rng):
    flights = make_flights(lines, **fields)
    assert sorted(entry for flight in flights for entry in flight) == sorted(one.entry for one in lines)
    assert tuple(map(len, flights)) == flight_sizes(len(lines), fields["largest"])
    mixed = list(lines)
    rng.shuffle(mixed)
    assert make_flights(mixed, **fields) == flights


@given(ENTRIES, st.integers(0, 2**40), st.integers(1, 12))
def test_a_school_is_shared_out_over_the_flights(lines, seed, largest):
    flights = make_flights(lines, method=DrawMethod.LOT, seed=seed, largest=largest, spread_schools=True)
    school = {one.entry: one.school for one in lines}
    shares = [Counter(school[entry] for entry in flight) for flight in flights]
    for name in set(school.values()):
        numbers = [share[name] for share in shares]
        assert max(numbers) - min(numbers) <= 1


@given(ENTRIES, FIELDS)
def test_a_strings_jump_before_b_strings(lines, fields):
    flights = make_flights(lines, **{**fields, "a_before_b": True, "largest": 20})
    by_entry = {one.entry: one for one in lines}
    strings = [
        (by_entry[entry].board_cm or 0 if fields["method"] is DrawMethod.BY_BOARD else 0, by_entry[entry].string or "Z")
        for flight in flights
        for entry in flight
    ]
    assert all(first <= second for first, second in pairwise(strings))


@pytest.mark.parametrize("method", list(DrawMethod))
@pytest.mark.parametrize("spread", [False, True])
def test_the_same_entries_with_other_keys_are_drawn_the_same(method, spread):
    def bibs(key):
        lines = [DrawLine(key(n), "ABC"[n % 3], "", 400 + n, 100, f"{n}") for n in range(1, 15)]
        drawn = make_flights(lines, method=method, seed=2026, largest=6, spread_schools=spread)
        bib_of = {line.entry: line.sorted_by for line in lines}
        return [[bib_of[entry] for entry in flight] for flight in drawn]

    assert bibs(str) == bibs(lambda n: str(1000 - n)) == bibs(lambda n: f"{n * 7 % 15}")
