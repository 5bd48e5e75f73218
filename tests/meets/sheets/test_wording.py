"""Rules and values in words."""

from datetime import UTC, date, datetime, timedelta

import pytest

from meets.sheets.wording import (
    CHOICES,
    as_of,
    clock,
    first_rounds,
    format_in_words,
    later_rounds,
    rule_value_in_words,
    seed_note,
    who,
)
from scoring.facts import Voided
from scoring.log import Row, standing
from scoring.rulesets import RULE_SETS, rule_set, rules


@pytest.mark.parametrize(
    ("name", "changes", "words"),
    [
        ("international", {}, "3 trials, best 8 get 3 more; with 8 starters or fewer all take 6"),
        ("two-cuts", {}, "3 trials, best 8 get 2 more, best 4 get 1 more; with 8 starters or fewer all take 6"),
        ("three-only", {}, "3 trials"),
        ("young-two", {"rounds": 1}, "1 trial"),
        ("best-six-one-more", {}, "3 trials, best 6 get 1 more; with 6 starters or fewer all take 4"),
        ("us-schools", {}, "3 trials, best 9 get 3 more; with 9 starters or fewer all take 6"),
        (
            "qualification",
            {"standard": 600},
            "3 trials, 6.00 qualifies (Q) and ends an athlete's trials, filled up to 12 (q)",
        ),
        ("open-pit", {}, "Open pit: 3 trials, taken when the athlete likes, in no order"),
        (
            "open-pit",
            {"open_pit_minutes": 60},
            "Open pit: 3 trials, taken when the athlete likes, in no order, within 60 minutes",
        ),
    ],
)
def test_format_in_words(name, changes, words):
    assert format_in_words(rule_set(name).with_changes(changes)) == words


@pytest.mark.parametrize(
    ("name", "first", "later"),
    [
        ("international", (1, 2, 3), (4, 5, 6)),
        ("two-cuts", (1, 2, 3), (4, 5, 6)),
        ("three-only", (1, 2, 3), ()),
        ("four", (1, 2, 3, 4), ()),
        ("best-four-one-more", (1, 2, 3), (4,)),
    ],
)
def test_blocks_of_a_field_sheet(name, first, later):
    assert (first_rounds(rule_set(name)), later_rounds(rule_set(name))) == (first, later)


@pytest.mark.parametrize("name", RULE_SETS)
def test_the_blocks_hold_every_round_once(name):
    rules = RULE_SETS[name]
    assert (*first_rounds(rules), *later_rounds(rules)) == tuple(range(1, rules.rounds + 1))


def test_a_new_order_without_a_cut_begins_the_second_block():
    rules = rule_set("international").with_changes({"cuts": (), "reorder_before": (5,)})
    assert (first_rounds(rules), later_rounds(rules)) == ((1, 2, 3, 4), (5, 6))


@pytest.mark.parametrize(
    ("tenths", "day", "words"),
    [
        (14, date(2027, 5, 3), "+1.4, 3 May 2027"),
        (-3, None, "−0.3"),
        (0, None, "0.0"),
        (None, date(2027, 5, 3), "3 May 2027"),
        (None, None, ""),
    ],
)
def test_seed_note(tenths, day, words):
    assert seed_note(tenths, day) == words


def test_times_are_those_of_the_meets_zone():
    noon = datetime(2027, 6, 12, 12, 0, tzinfo=UTC)
    assert [clock(noon, zone) for zone in ("Europe/London", "America/New_York")] == ["13:00", "08:00"]
    assert clock(None, "Europe/London") == ""


@pytest.mark.parametrize(
    ("year", "words"),
    [
        ("9", "Ng School · B · year 9"),
        ("2013", "Ng School · B · born 2013"),
        ("Y9", "Ng School · B · Y9"),
        ("", "Ng School · B"),
    ],
)
def test_a_bare_number_says_what_it_is(year, words):
    assert who("Ng School", "B", year) == words


def test_every_choice_of_every_rule_has_words():
    offered = {choice for rule in rules() for choice in rule.choices} | {"yes", "no"}
    assert offered == set(CHOICES)


@pytest.mark.parametrize(
    ("name", "written", "words"),
    [
        ("first_order", "school-rotation", "schools in turn"),
        ("ties_go_on", "no", "no"),
        ("combined_points", "none", "none"),
        ("cuts", "5:2", "5:2"),
        ("cuts", "", "none"),
    ],
)
def test_the_value_of_a_rule_in_words(name, written, words):
    assert rule_value_in_words(name, written) == words


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        ((), "nothing recorded yet"),
        ((0,), "as of 13:00, after 1 row of the log"),
        ((0, 95), "as of 14:35, after 2 rows of the log"),
        ((0, 60 * 24 * 2), "as of 14 June, 13:00, after 2 rows of the log"),
    ],
)
def test_a_sheet_says_which_state_of_the_log_it_shows(minutes, words):
    start = datetime(2027, 6, 12, 12, 0, tzinfo=UTC)
    rows = [Row(str(n), n, Voided(), at=start + timedelta(minutes=after)) for n, after in enumerate(minutes, 1)]
    assert as_of(standing(rows), "Europe/London") == words
