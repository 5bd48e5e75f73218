"""Which marks can be put forward as records, against what stood when they were jumped."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.claims import Bar, Jump, claims_among, exactly_in, may_reach
from scoring.log import Turn
from scoring.marks import Unit
from scoring.rulesets import rule_set
from scoring.wind import WindStatus, wind_status
from tests.build import trial

RULES = rule_set("international")
QUARTERS = Unit.QUARTER_INCH


def jumps(text, **about):
    """One athlete after the other, each with one trial."""
    trials = [trial(word) for word in text.split()]
    return [
        Jump(Turn(str(n), 1), one.mark, wind_status(one.wind), **about) for n, one in enumerate(trials, 1)
    ]  # fmt: skip


def found(text, bar=540, rules=RULES, unit=Unit.CM, about=None, **of_bar):
    return [
        (one.jump.mark, "equals" if one.equals else "beats", str(one.why_not or ""))
        for one in claims_among(jumps(text, **(about or {})), Bar(bar, **of_bar), rules, unit)
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("5.39+1.0 5.12+0.3", []),
        ("5.40+1.0", [(540, "equals", "")]),
        ("5.41+1.0", [(541, "beats", "")]),
        ("5.41+2.0", [(541, "beats", "")]),
        ("5.41+2.1", [(541, "beats", "windy")]),
        ("5.44(NWI)", [(544, "beats", "nwi")]),
        ("5.40(NWI)", [(540, "equals", "nwi")]),
        ("5.44", [(544, "beats", "wind owed")]),
        # Each has to beat what stood when it was jumped; a longer one later takes nothing from an earlier one.
        ("5.43+1.0 5.42+0.0 5.50-0.3", [(543, "beats", ""), (550, "beats", "")]),
        ("5.43+1.0 5.43+0.0", [(543, "beats", ""), (543, "equals", "")]),
        ("5.40+1.0 5.40+0.0", [(540, "equals", ""), (540, "equals", "")]),
        # A mark that is no claim raises nothing: 5.58 after a windy 5.61 is one, in any round (situation on the day).
        ("5.61+2.1 5.58+1.4", [(561, "beats", "windy"), (558, "beats", "")]),
        ("5.58+1.4 5.61+2.1", [(558, "beats", ""), (561, "beats", "windy")]),
        ("5.61(NWI) 5.61+0.4", [(561, "beats", "nwi"), (561, "beats", "")]),
    ],
)
def test_what_beats_or_equals_the_record(text, expected):
    assert found(text) == expected


@pytest.mark.parametrize(
    ("of_bar", "changes", "about", "why_not"),
    [
        ({}, {}, {}, "nwi"),
        ({"needs_wind": False}, {}, {}, ""),
        ({}, {"nwi_counts_for_records": True}, {}, ""),
        ({}, {"take_off_zone": True, "zone_cm": 80}, {}, "take-off zone"),
        ({"needs_wind": False}, {"take_off_zone": True, "zone_cm": 80}, {}, "take-off zone"),
        ({}, {}, {"guest": True}, "guest"),
        ({"takes_guests": True, "needs_wind": False}, {}, {"guest": True}, ""),
        ({"needs_wind": False}, {"guests_set_records": True}, {"guest": True}, ""),
        ({"needs_wind": False}, {}, {"settled": False}, "not settled"),
        ({}, {}, {"settled": False}, "not settled"),
    ],
)
def test_why_a_mark_without_wind_information_is_no_claim(of_bar, changes, about, why_not):
    assert found("5.44(NWI)", rules=RULES.with_changes(changes), about=about, **of_bar) == [(544, "beats", why_not)]


def test_a_windy_mark_is_a_claim_where_the_book_needs_no_wind_and_not_where_only_nwi_counts():
    assert found("5.44+3.0", needs_wind=False) == [(544, "beats", "")]
    assert found("5.44+3.0", rules=RULES.with_changes({"nwi_counts_for_records": True})) == [(544, "beats", "windy")]


def test_the_longest_of_several_claims_is_the_one_that_is_not_beaten():
    several = claims_among(jumps("5.43+1.0 5.61+2.1 5.50+0.0 5.50+0.1"), Bar(540), RULES)
    assert [(one.jump.mark, one.is_claim, one.beaten) for one in several] == [
        (543, True, True), (561, False, False), (550, True, False), (550, True, False),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("mark", "unit", "wanted", "expected"),
    [
        (543, Unit.CM, Unit.CM, 543),
        (786, QUARTERS, QUARTERS, 786),
        (127, Unit.CM, QUARTERS, 200),  # 1.27 m are 50 inches: 1 inch is 25.4 mm
        (508, Unit.CM, QUARTERS, 800),
        (800, QUARTERS, Unit.CM, 508),
        (543, Unit.CM, QUARTERS, None),
        (786, QUARTERS, Unit.CM, None),
    ],
)
def test_a_length_in_the_other_unit_only_where_nothing_is_rounded(mark, unit, wanted, expected):
    assert exactly_in(mark, unit, wanted) == expected


@pytest.mark.parametrize(
    ("mark", "bar", "expected"),
    [
        # 16-08.00 (800 quarters) is 5.08 m exactly; 16-08.25 lies between 5.08 and 5.09.
        (507, 800, []),
        (508, 800, [(508, "equals", "")]),
        (509, 800, [(509, "beats", "other unit")]),
        (508, 799, [(508, "beats", "")]),
        # 5.09 to 5.10 m may be as long as 16-08.50 (5.0927 m), and is written in quarter inches by nobody.
        (509, 802, [(509, "beats", "other unit")]),
        (508, 802, []),
    ],
)
def test_a_book_kept_in_feet_against_a_meet_in_metres(mark, bar, expected):
    given_jumps = [Jump(Turn("1", 1), mark, WindStatus.LEGAL)]
    answer = claims_among(given_jumps, Bar(bar, QUARTERS), RULES)
    assert [
        (one.jump.mark, "equals" if one.equals else "beats", str(one.why_not or "")) for one in answer
    ] == expected  # fmt: skip


def test_a_claim_is_written_in_the_unit_of_the_book():
    (one,) = claims_among([Jump(Turn("1", 1), 508, WindStatus.LEGAL)], Bar(799, QUARTERS), RULES)
    assert (one.mark, one.jump.mark) == (800, 508)


@given(st.lists(st.tuples(st.integers(500, 600), st.sampled_from(WindStatus)), max_size=8), st.integers(500, 600))
def test_claims_in_order_of_time_never_get_shorter_and_all_others_say_why(marks, bar):
    given_jumps = [Jump(Turn(str(n), 1), mark, wind) for n, (mark, wind) in enumerate(marks)]
    answer = claims_among(given_jumps, Bar(bar), RULES)
    claims = [one for one in answer if one.is_claim]
    lengths = [bar, *(one.mark for one in claims)]
    assert lengths == sorted(lengths)
    assert all(one.jump.wind is WindStatus.LEGAL for one in claims)
    assert all(one.jump.wind is not WindStatus.LEGAL for one in answer if not one.is_claim)
    # By brute force: a legal mark is a claim if no legal mark before it, nor the bar, is longer.
    legal = [jump for jump in given_jumps if jump.wind is WindStatus.LEGAL]
    expected = [
        jump for n, jump in enumerate(legal) if jump.mark >= max([bar, *(one.mark for one in legal[:n])])
    ]  # fmt: skip
    assert [one.jump for one in claims] == expected


@given(st.integers(1, 4000), st.integers(1, 4000))
def test_a_mark_that_cannot_have_reached_the_record_is_shorter_by_every_measure(cm, quarters):
    """Against millimetres: the jump behind a mark is shorter than mark + 1, the record as long as it is written."""
    longest_mm = (cm + 1) * 10
    record_mm = quarters * 6.35
    assert may_reach(cm, Unit.CM, Bar(quarters, QUARTERS)) == (longest_mm > record_mm + 1e-9)
