import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.errors import NotARuleSet
from scoring.rulesets import RULE_SETS, RuleSet, from_written, problems, rule_set, rules, to_written

INTERNATIONAL = rule_set("international")


# The built-in sets: (rounds, cuts, rounds before which the order is made anew). Sources stand with the fields.
@pytest.mark.parametrize(
    ("name", "rounds", "cuts", "reorder"),
    [
        ("international", 6, ((3, 8),), (4,)),
        ("two-cuts", 6, ((3, 8), (5, 4)), (4,)),
        ("qualification", 3, (), ()),
        ("three-only", 3, (), ()),
        ("four", 4, (), ()),
        ("best-six-one-more", 4, ((3, 6),), (4,)),
        ("best-four-one-more", 4, ((3, 4),), (4,)),
        ("us-schools", 6, ((3, 9),), (4,)),
        ("young-two", 2, (), ()),
        ("young-three", 3, (), ()),
        ("open-pit", 3, (), ()),
        ("combined-events", 3, (), ()),
    ],
)
def test_the_built_in_sets(name, rounds, cuts, reorder):
    built_in = rule_set(name)
    assert (built_in.name, built_in.rounds, built_in.cuts, built_in.reorder_before) == (name, rounds, cuts, reorder)


def test_no_built_in_set_is_left_out_above_or_contradicts_itself():
    assert len(RULE_SETS) == 12
    assert [problem for built_in in RULE_SETS.values() for problem in problems(built_in, {})] == []


def test_an_open_pit_has_no_order():
    assert {name for name, built_in in RULE_SETS.items() if built_in.call == "open pit"} == {"open-pit"}


def test_an_unknown_name_lists_the_names():
    with pytest.raises(NotARuleSet) as refused:
        rule_set("moon")
    assert str(refused.value) == (f"rule set: 'moon' is no rule of a rule set; expected one of {', '.join(RULE_SETS)}")


# The fields that the rules of the sport fix, with their source.
@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("wind_limit_tenths", 20),  # WA
        ("cut_needs_mark", True),  # from memory
        ("ties_go_on", True),  # IAAF reports on qualifying rounds
        ("withdrawn_replaced", False),  # common practice
        ("guests_count_as_starters", False),  # local custom, as the next two
        ("guests_hold_place", False),
        ("guests_go_on", True),
        ("trial_seconds", 60),  # from memory
        ("consecutive_seconds", 120),  # from memory
        ("warning_seconds", 15),
        ("protest_minutes", 30),  # WA TR 8, from memory
        ("nwi_counts_for_records", False),
        ("guests_set_records", False),  # local custom
        ("longest_long_jump_cm", 950),
        ("longest_triple_jump_cm", 1900),
        ("tied_first", "shared"),
    ],
)
def test_a_default(field, value):
    assert getattr(INTERNATIONAL, field) == value


def test_the_longest_mark_of_each_discipline():
    assert (INTERNATIONAL.longest_cm(triple=False), INTERNATIONAL.longest_cm(triple=True)) == (950, 1900)


def test_every_field_says_what_it_is():
    for rule in rules():
        assert rule.unit, rule.name
        assert rule.source, rule.name
        assert rule.says.endswith("."), rule.name
        assert not rule.choices or rule.default in rule.choices, rule.name
    assert len({rule.says for rule in rules()}) == len(list(rules()))


# Changing single fields


def says(changes: dict[str, object], base: RuleSet = INTERNATIONAL) -> list[str]:
    return [f"{p.where}: {p.expected}" for p in problems(base, changes)]


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, []),
        ({"rounds": 4}, []),
        ({"cuts": ((3, 8), (5, 8))}, []),
        ({"rounds": 0, "cuts": (), "reorder_before": ()}, ["rounds: 1 to 20 trials"]),
        ({"rounds": 21}, ["rounds: 1 to 20 trials"]),
        ({"rounds": "4"}, ["rounds: int, unit trials"]),
        ({"rounds": True}, ["rounds: int, unit trials"]),
        ({"ties_go_on": 1}, ["ties_go_on: bool, unit yes/no"]),
        ({"title": 5}, ["title: str, unit words"]),
        ({"flight_size": -1}, ["flight_size: 0 or more"]),
        ({"flight_size": 0}, ["flight_size: at least 1 athlete"]),
        ({"call": "somehow"}, ["call: rounds or open pit"]),
        ({"cuts": [(3, 8)]}, ["cuts: tuple, unit after round: how many"]),
        ({"cuts": ((3,),)}, ["cuts: tuple, unit after round: how many"]),
        ({"cuts": ((3, "8"),)}, ["cuts: tuple, unit after round: how many"]),
        ({"points": (8, 7.5)}, ["points: tuple, unit points"]),
        ({"cuts": ((0, 8),)}, ["cuts: a round after the last cut, before the end"]),
        ({"cuts": ((6, 8),)}, ["cuts: a round after the last cut, before the end"]),
        ({"cuts": ((3, 8), (3, 4))}, ["cuts: a round after the last cut, before the end"]),
        ({"cuts": ((3, 0),)}, ["cuts: at least 1, no more than the cut before"]),
        ({"cuts": ((3, 4), (5, 8))}, ["cuts: at least 1, no more than the cut before"]),
        ({"reorder_before": (1,)}, ["reorder_before: rounds 2 to the last"]),
        ({"reorder_before": (7,)}, ["reorder_before: rounds 2 to the last"]),
        ({"points": (7, 8)}, ["points: the most points first, none below zero"]),
        ({"points": (7, -1)}, ["points: the most points first, none below zero"]),
        ({"points": ()}, []),
        ({"b_points": (4, 5)}, ["b_points: the most points first, none below zero"]),
        ({"b_table": True}, ["b_points: the points of the table for B strings"]),
        ({"b_table": True, "b_points": (3, 2, 1)}, []),
        ({"call": "open pit"}, ["cuts: no cut in an open pit"]),
        ({"call": "open pit", "cuts": ()}, []),
        ({"take_off_zone": True}, ["zone_cm: the depth of the zone"]),
        ({"take_off_zone": True, "zone_cm": 50}, []),
        # All reasons at once: first those of the values, and when these are sound those of the whole.
        ({"rounds": "x", "call": "y", "flight_size": -1}, [
            "rounds: int, unit trials", "call: rounds or open pit", "flight_size: 0 or more",
        ]),
        ({"rounds": 3, "points": (1, 2)}, [
            "cuts: a round after the last cut, before the end", "reorder_before: rounds 2 to the last",
            "points: the most points first, none below zero",
        ]),
    ],
)  # fmt: skip
def test_every_reason_why_a_change_cannot_be(changes, expected):
    assert says(changes) == expected


def test_an_unknown_field_lists_the_fields():
    (problem,) = problems(INTERNATIONAL, {"round": 4})
    assert problem.where == "rule"
    assert problem.expected == f"one of {', '.join(rule.name for rule in rules())}"


def test_changes_are_made_or_the_first_reason_raised():
    changed = INTERNATIONAL.with_changes({"rounds": 4, "title": "Four"})
    assert (changed.rounds, changed.title, changed.cuts) == (4, "Four", INTERNATIONAL.cuts)
    with pytest.raises(NotARuleSet) as refused:
        INTERNATIONAL.with_changes({"rounds": 0, "call": "somehow"})
    assert str(refused.value) == "call: 'somehow' is no rule of a rule set; expected rounds or open pit"


# The written form, as stored and typed


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("rounds", " 4 ", 4),
        ("ties_go_on", "No", False),
        ("ties_go_on", "yes", True),
        ("cuts", "3:8 5:4", ((3, 8), (5, 4))),
        ("cuts", "", ()),
        ("points", "8 7 6", (8, 7, 6)),
        ("call", "open pit", "open pit"),
    ],
)
def test_the_written_form(name, text, value):
    assert from_written(name, text) == value


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("rounds", "four", "rounds: 'four' is no rule of a rule set; expected trials, for example 6"),
        ("ties_go_on", "maybe", "ties_go_on: 'maybe' is no rule of a rule set; expected yes/no, for example yes"),
        (
            "cuts", "3:8:4",
            "cuts: '3:8:4' is no rule of a rule set; expected after round: how many, for example 3:8",
        ),
        ("cuts", "3:x", "cuts: '3:x' is no rule of a rule set; expected after round: how many, for example 3:8"),
        (
            "points", "8,7",
            "points: '8,7' is no rule of a rule set; expected points, for example 8 7 6 5 4 3 2 1",
        ),
    ],
)  # fmt: skip
def test_a_written_form_that_cannot_be_read(name, text, says):
    with pytest.raises(NotARuleSet) as refused:
        from_written(name, text)
    assert str(refused.value) == says


def test_the_written_form_of_an_unknown_field():
    with pytest.raises(NotARuleSet) as refused:
        from_written("round", "4")
    assert (refused.value.where, refused.value.value) == ("rule", "round")


@pytest.mark.parametrize("name", [rule.name for rule in rules()])
def test_every_default_reads_back_from_its_written_form(name):
    assert from_written(name, to_written(name)) == getattr(RuleSet(), name)


@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(1, 99)), max_size=4).map(tuple),
    st.lists(st.integers(0, 99), max_size=9).map(tuple),
    st.integers(0, 999),
    st.booleans(),
)
def test_any_value_reads_back_from_its_written_form(cuts, points, rounds, ties_go_on):
    values = {"cuts": cuts, "points": points, "rounds": rounds, "ties_go_on": ties_go_on}
    assert {name: from_written(name, to_written(name, value)) for name, value in values.items()} == values
