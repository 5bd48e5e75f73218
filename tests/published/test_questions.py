"""Questions before a trial is saved are few when the trial is right: fewer than one in twenty (judgement of officials).

Who is asked all day answers without looking. Counted on published series, every one of whose trials is right, also
those of athletes who ran through and were measured; without the seed marks that a meet has.
"""

from collections import Counter
from random import Random

import pytest

from tests.bench.right_trials import Before, caught, kinds_asked
from tests.published.series import published_days
from tests.published.test_cuts import PLAYED

MOST = 1 / 20


@pytest.fixture(scope="module")
def days() -> dict[str, list[Before]]:
    return published_days()


def test_right_trials_raise_few_questions(days):
    trials, asked, kinds = kinds_asked(before for day in days.values() for before in day)
    assert trials == 400
    assert "out of order" not in kinds
    assert asked < MOST * trials, kinds


def test_right_trials_of_whole_finals_raise_few_questions(days):
    trials, asked, kinds = kinds_asked(before for name in PLAYED for before in days[name])
    assert trials == 255
    assert asked < MOST * trials, kinds


@pytest.mark.parametrize(
    ("slip", "at_least"),
    [("same jump twice", 1), ("first digits swapped", 0.6), ("a metre more", 0.6), ("a metre less", 0.5)],
)
def test_slips_are_caught_though_no_seed_is_known(days, slip, at_least):
    """Shares a little under those counted; a first trial without a seed has nothing to be compared with."""
    count = sum((caught(day, Random(number)) for number, day in enumerate(days.values())), Counter())
    assert count[slip, "asked"] >= at_least * count[slip, "made"] > 0
