"""One question at a time: which comes next, and what the answers mean."""

import pytest

from meets.pit.draft import Draft, Step, step_of
from scoring.marks import Unit


@pytest.mark.parametrize(
    ("answers", "step"),
    [
        ({}, Step.FLAG),
        ({"flag": "purple"}, Step.FLAG),
        ({"flag": "white"}, Step.MARK),
        ({"flag": "white", "digits": "54"}, Step.MARK),
        ({"flag": "white", "digits": "543"}, Step.WIND),
        ({"flag": "white", "digits": "543", "tenths": "14"}, Step.WIND),
        ({"flag": "white", "digits": "543", "sign": "+"}, Step.WIND),
        ({"flag": "white", "digits": "543", "sign": "+", "tenths": "999"}, Step.WIND),
        ({"flag": "white", "digits": "543", "sign": "+", "tenths": "14"}, Step.CONFIRM),
        ({"flag": "white", "digits": "543", "tenths": "0"}, Step.CONFIRM),
        ({"flag": "white", "digits": "543", "sign": "none"}, Step.CONFIRM),
        ({"flag": "white", "digits": "543", "sign": "later"}, Step.CONFIRM),
        ({"flag": "red"}, Step.WHY),
        ({"flag": "red", "why": "nonsense"}, Step.WHY),
        ({"flag": "red", "why": "line"}, Step.CONFIRM),
        ({"flag": "red", "why": "unsaid"}, Step.CONFIRM),
        ({"flag": "red", "protest": "1"}, Step.MARK),
        ({"flag": "red", "protest": "1", "digits": "543"}, Step.WIND),
        ({"flag": "pass"}, Step.CONFIRM),
        ({"flag": "retire"}, Step.CONFIRM),
        ({"flag": "unmeasured"}, Step.CONFIRM),
    ],
)
def test_the_next_question(answers, step):
    assert step_of(Draft.of(answers), Unit.CM, gauge=True) is step


def test_without_a_gauge_there_is_no_question_about_wind():
    assert step_of(Draft(flag="white", digits="543"), Unit.CM, gauge=False) is Step.CONFIRM


def test_no_pass_and_no_red_flag_has_a_distance_typed_before():
    for flag in ("pass", "retire", "unmeasured"):
        assert not Draft(flag=flag, digits="543").measured
    assert not Draft(flag="red", why="line", digits="543").measured


@pytest.mark.parametrize(
    ("answers", "unit", "trial"),
    [
        ({"flag": "white", "digits": "543"}, Unit.CM, "5.43"),
        ({"flag": "white", "digits": "160450"}, Unit.QUARTER_INCH, "16-04.50"),
        ({"flag": "red", "why": "line"}, Unit.CM, "x"),
        ({"flag": "red", "protest": "1", "digits": "543"}, Unit.CM, "5.43"),
        ({"flag": "pass"}, Unit.CM, "-"),
        ({"flag": "retire"}, Unit.CM, "r"),
        ({"flag": "unmeasured"}, Unit.CM, "o"),
    ],
)
def test_a_draft_in_the_open_notation(answers, unit, trial):
    assert Draft.of(answers).trial(unit) == trial


@pytest.mark.parametrize(
    ("sign", "tenths", "wind"),
    [
        ("+", "14", "+1.4"),
        ("-", "3", "-0.3"),
        ("", "0", "0.0"),
        ("0", "", "0.0"),
        ("none", "", "NWI"),
        ("later", "", ""),
        ("", "", ""),
    ],
)
def test_the_wind_of_a_draft(sign, tenths, wind):
    assert Draft(flag="white", digits="543", sign=sign, tenths=tenths).wind == wind


def test_another_mark_keeps_the_wind_and_another_flag_keeps_nothing():
    draft = Draft(flag="white", digits="543", sign="+", tenths="14")
    assert draft.without(Step.MARK) == Draft(flag="white", sign="+", tenths="14")
    assert draft.without(Step.FLAG) == Draft()
