"""On a demonstration day, fewer than one right trial in twenty is asked about, and the slips are still caught."""

from collections import Counter
from datetime import UTC, date, datetime
from random import Random

import pytest

from meets.demo.actions import build
from tests.bench.demo_days import demo_days
from tests.bench.right_trials import caught, kinds_asked

MOST = 1 / 20
# A little under the shares counted on five days. Half of all winds are too weak for a wrong sign to show.
CAUGHT = {
    "same jump twice": 1,
    "first digits swapped": 0.92,
    "a metre more": 0.87,
    "a metre less": 0.88,
    "wind sign, from 1.0 m/s": 0.65,
    "gauge not started": 0.9,
}


@pytest.mark.slow
@pytest.mark.django_db
def test_right_trials_raise_few_questions_and_slips_many(tmp_path):
    now = datetime(2027, 6, 12, 8, 0, tzinfo=UTC)
    built = build(seed=2, on=date(2027, 6, 12), out_dir=tmp_path, now=now, start=lambda total: lambda step: None)
    days = demo_days(built.meet)
    trials, asked, kinds = kinds_asked(before for day in days for before in day)
    assert trials > 700
    assert "out of order" not in kinds
    assert asked < MOST * trials, kinds
    count = sum((caught(day, Random(number)) for number, day in enumerate(days)), Counter())
    shares = {slip: count[slip, "asked"] / count[slip, "made"] for slip in CAUGHT}
    assert {slip for slip, share in shares.items() if share < CAUGHT[slip]} == set(), shares
