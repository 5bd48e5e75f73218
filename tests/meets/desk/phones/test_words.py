from datetime import UTC, datetime, timedelta

import pytest

from meets.desk.phones.words import ago, clock_said, entries_said, numbers_said, roles_said

NOW = datetime(2027, 6, 12, 11, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("past", "words"),
    [
        (timedelta(seconds=-5), "just now"),
        (timedelta(seconds=9), "just now"),
        (timedelta(seconds=40), "40 s ago"),
        (timedelta(seconds=90), "1 min ago"),
        (timedelta(minutes=59, seconds=59), "59 min ago"),
        (timedelta(hours=3, minutes=20), "3 h 20 min ago"),
        (timedelta(days=2), "10 June, 12:00"),
    ],
)
def test_how_long_ago(past, words):
    assert ago(NOW - past, NOW) == words


def test_what_never_was_is_said_so():
    assert ago(None, NOW) == "never"


@pytest.mark.parametrize(
    ("seconds_behind", "words"),
    [
        (0, ""),
        (119, ""),
        (-119, ""),
        (120, "clock 2 min slow"),
        (-185, "clock 3 min fast"),
        (3600, "clock 1 h 0 min slow"),
        (-86400, "clock 24 h 0 min fast"),
    ],
)
def test_a_clock_that_is_off(seconds_behind, words):
    assert clock_said(seconds_behind) == words


@pytest.mark.parametrize(
    ("holes", "numbers", "entries"),
    [
        ([(4, 4)], "4", "entry 4"),
        ([(4, 6)], "4–6", "entries 4–6"),
        ([(4, 6), (9, 9)], "4–6, 9", "entries 4–6, 9"),
    ],
)
def test_numbers_of_entries(holes, numbers, entries):
    assert (numbers_said(holes), entries_said(holes)) == (numbers, entries)


@pytest.mark.parametrize(
    ("roles", "words"),
    [
        ([], "nothing"),
        (["gauge"], "wind gauge operator"),
        (["gauge", "recorder"], "recorder and wind gauge operator"),
        (["referee", "recorder", "gauge"], "recorder, wind gauge operator and referee"),
    ],
)
def test_roles(roles, words):
    assert roles_said(roles) == words
