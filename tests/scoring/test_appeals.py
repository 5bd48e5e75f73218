"""A protest, the referee's decision, an appeal to the jury, the jury's decision: what stands after each of them."""

import pytest

from scoring.event import replay
from scoring.rulesets import rule_set
from tests.build import log, start_lines

WENT = "drawn 31,17\n31: x/5.43 x x\n17: 5.12+1.0 x x\nprotest_lodged p1 31 1 by=coach"
CASES = [
    # What follows; upheld, whether it is open, the best that counts.
    ("", None, True, None),
    ("protest_decided p1 no", False, False, None),
    ("protest_decided p1 no\nappeal_lodged p1 coach", False, True, None),
    ("protest_decided p1 no\nappeal_lodged p1\nappeal_decided p1 yes", True, False, 543),
    ("protest_decided p1 no\nappeal_lodged p1\nappeal_decided p1 no", False, False, None),
    ("protest_decided p1 yes", True, False, 543),
    ("protest_decided p1 yes\nappeal_lodged p1", True, True, 543),
    ("protest_decided p1 yes\nappeal_lodged p1\nappeal_decided p1 no", False, False, None),
    # The jury has not spoken yet to what is appealed against again.
    ("protest_decided p1 no\nappeal_lodged p1\nappeal_decided p1 yes\nappeal_lodged p1", False, True, None),
    # An appeal against nothing, and a decision without an appeal, change nothing.
    ("appeal_lodged p1\nappeal_decided p1 yes", None, True, None),
    ("protest_decided p1 no\nappeal_decided p1 yes", False, False, None),
    # The name used again is a protest of its own: what was said of the first is not about it.
    ("protest_decided p1 no\nappeal_lodged p1\nprotest_lodged p1 31 1\nprotest_decided p1 no", False, False, None),
]


@pytest.mark.parametrize(("text", "upheld", "is_open", "best"), CASES)
def test_what_stands(text, upheld, is_open, best):
    state = replay(start_lines("31 17"), log(f"{WENT}\n{text}"), rule_set("three-only"))
    protest = state.protests[-1]
    assert (protest.upheld, protest.is_open, state.entry("31").best) == (upheld, is_open, best)


def test_who_appealed_and_what_the_jury_said():
    text = f"{WENT}\nprotest_decided p1 no # heel\nappeal_lodged p1 coach # film\nappeal_decided p1 yes # seen"
    protest = replay(start_lines("31 17"), log(text), rule_set("three-only")).protests[0]
    assert (protest.decision, protest.appeal.by, protest.appeal.reason, protest.appeal.decision) == (
        "heel",
        "coach",
        "film",
        "seen",
    )
    assert protest.decided_at < protest.appeal.lodged_at
