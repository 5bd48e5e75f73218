"""What the public sees of a state: nothing under protest or in dispute counts or shows its mark."""

import pytest

from scoring.event import held_back, replay
from scoring.rulesets import rule_set
from scoring.trials import Result
from tests.build import log, start_lines

RULES = rule_set("three-only")
CASES = [
    # The log, then for each bib its place, best and status as the public sees them.
    ("31: 5.43+1.0 x x\n17: 5.12+1.0 x x", {"31": (1, 543, ""), "17": (2, 512, "")}),
    ("31: 5.43+1.0 x x\n17: 5.12+1.0 x x\n[second_recorder] 31@1: 5.34", {"31": (None, None, ""), "17": (1, 512, "")}),
    (
        "31: 5.43+1.0 5.01+1.0 x\n17: 5.12+1.0 x x\n[second_recorder] 31@1: 5.34",
        {"31": (2, 501, ""), "17": (1, 512, "")},
    ),
    ("31: x/5.43 x x\n17: 5.12+1.0 x x", {"31": (None, None, "NM"), "17": (1, 512, "")}),
    (
        "31: x/5.43 x x\n17: 5.12+1.0 x x\nprotest_lodged p 31 1\nprotest_decided p yes",
        {"31": (1, 543, ""), "17": (2, 512, "")},
    ),
    (
        "31: 5.43+1.0 x x\n17: 5.12+1.0 x x\n[second_recorder] 31@1: 5.34\ndisqualified 31",
        {"31": (None, None, "DQ"), "17": (1, 512, "")},
    ),
]


@pytest.mark.parametrize(("text", "seen"), CASES)
def test_places_are_those_of_what_is_settled(text, seen):
    state = held_back(replay(start_lines("31 17"), log(f"drawn 31,17\n{text}"), RULES))
    assert {placed.entry: (placed.place, placed.best, placed.status) for placed in state.places} == seen


def test_no_mark_that_is_held_can_be_found_in_it():
    rows = log("drawn 31,17\n31: x/5.43 5.22 x\n17: 5.12+1.0 x x\n[second_recorder] 31@2: 5.34")
    state = held_back(replay(start_lines("31 17"), rows, RULES))
    assert [turn.trial and (turn.trial.result, turn.trial.mark) for turn in state.entry("31").turns] == [
        (Result.FAIL, None),
        None,
        (Result.FAIL, None),
    ]
    assert not {"543", "522", "534"} & set(str(state.entry("31")).replace("=", " ").replace(",", " ").split())


def test_a_wind_in_dispute_is_owed():
    rows = log("drawn 31\n31: 5.43 x x\nwind_read 31 1 14\n[second_recorder] wind_read 31 1 -14")
    state = held_back(replay(start_lines("31"), rows, RULES))
    assert (state.entry("31").best, state.entry("31").by_round[1].wind) == (543, None)


def test_qualifiers_are_those_of_what_is_settled():
    rules = rule_set("qualification").with_changes({"standard": 500, "qualify": 1})
    rows = log("drawn 31,17\n31: 5.43+1.0\n17: 4.12+1.0 x x\n[second_recorder] 31@1: 4.34")
    state = replay(start_lines("31 17"), rows, rules)
    assert [state.entry("31").qualified, held_back(state).entry("31").qualified] == ["Q", ""]


UNDER_PROTEST = """drawn 31,17
31: x/5.43 x x
17: 5.12+1.0 x x
protest_lodged p 31 1
trials_confirmed 2 6 yes
cut_taken 3 17 17 31
31@4: 5.55
17@4: 5.01
"""


@pytest.mark.parametrize(
    ("decided", "seen"),
    [
        ("", [(None, True), (501, False)]),
        ("protest_decided p yes", [(555, False), (501, False)]),
        ("protest_decided p no", [(555, False), (501, False)]),
    ],
)
def test_trials_after_a_cut_under_a_protest_are_held_while_it_is_open(decided, seen):
    rules = rule_set("international").with_changes({"cuts": ((3, 1),), "reorder_before": ()})
    state = held_back(replay(start_lines("31 17"), log(UNDER_PROTEST + decided), rules))
    fourth = [next(turn for turn in state.entry(key).turns if turn.turn.round == 4) for key in ("31", "17")]
    assert [(turn.trial.mark, turn.held) for turn in fourth] == seen
