"""Moments in words."""

from datetime import datetime

import pytest

from meets.running.times import moment_said


@pytest.mark.parametrize(
    ("at", "now", "zone", "said"),
    [
        ("2027-06-12T13:52Z", "2027-06-12T15:00Z", "Europe/London", "14:52"),
        ("2027-06-12T22:58Z", "2027-06-12T23:01Z", "Europe/London", "12 June, 23:58"),
        ("2027-06-12T22:58Z", "2027-06-12T23:01Z", "UTC", "22:58"),
        ("2027-06-12T23:01Z", "2027-06-12T22:58Z", "Europe/London", "13 June, 00:01"),
        ("2026-12-31T23:59Z", "2027-01-01T00:00Z", "Europe/London", "31 December 2026, 23:59"),
    ],
    ids=["today", "yesterday", "the same day elsewhere", "tomorrow", "last year"],
)
def test_a_moment_has_its_day_where_that_is_another_one(at, now, zone, said):
    assert moment_said(datetime.fromisoformat(at), datetime.fromisoformat(now), zone) == said


def test_seconds_where_they_matter():
    at = datetime.fromisoformat("2027-06-12T13:52:07Z")
    assert moment_said(at, at, "Europe/London", seconds=True) == "14:52:07"
