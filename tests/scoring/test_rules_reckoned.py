"""Every field of a rule set changes something that is reckoned, or its sentence says that it is only shown.

Each check below answers differently for two values of one field. What is decided outside of `scoring` is checked where
it is decided; the names stand here, so that no field is left out.
"""

from datetime import timedelta

import pytest

from scoring.bests import best_sign, counting_winds
from scoring.claims import Bar, Jump, claims_among
from scoring.clock import clock_s
from scoring.cut import CutLine, propose_cut, propose_order, qualifiers
from scoring.event import replay
from scoring.log import Turn
from scoring.places import rank
from scoring.progress import effective_cuts
from scoring.rulesets import RuleSet, rules
from scoring.slips import questions
from scoring.trials import Result, Trial
from scoring.wind import Wind, WindStatus
from tests.build import START, contenders, log, series, start_lines

SHOWN = {"name", "title", "open_pit_minutes", "line"}
DRAWS_POINTS_AND_REACH = {
    "first_order", "flight_size", "spread_schools", "a_before_b", "abandon_rounds", "points", "points_by_schools",
    "scorers_per_school", "over_limit", "better_is_a", "lone_b_moves_up", "b_table", "b_points", "equal_totals",
    "reach_margin_cm", "reach_margin_young_cm", "young_under", "few_marks", "sand_end_margin_cm", "jump_share_percent",
}  # fmt: skip
ENTRIES_PIT_AND_SHEETS = {
    "entries_per_school", "events_per_athlete", "older_group_allowed", "triple_jump_from", "absent_without_leave",
    "warning_seconds", "protest_minutes", "combined_points",
}  # fmt: skip


def event(text, bibs="1 2", guests="", sand_cm=None):
    return lambda rules: replay(start_lines(bibs, guests=guests), log(text), rules, sand_cm=sand_cm)


def alarms(text, **asked):
    return lambda rules: [alarm.key for alarm in event(text, **asked)(rules).alarms]


def called(text):
    return lambda rules: [tuple(turn.turn) for turn in event(text)(rules).callable]


def lines(marks, **of_one):
    """Somebody for each mark, best first; the first has the other values."""
    return [
        CutLine(str(n), (mark,) if mark else (), n, **(of_one if n == 1 else {})) for n, mark in enumerate(marks, 1)
    ]


def going_on(marks, **of_one):
    return lambda rules: propose_cut(lines(marks, **of_one), 3, rules).going_on


def asked(trial, last_winds=()):
    def kinds(rules):
        state = event("drawn 1,2\n1: 5.00")(rules)
        found = questions(state, Turn("1", 2), trial, seed_mark=500, last_winds=last_winds, in_call_order=False)
        return [question.kind for question in found]

    return kinds


def claimed(wind, guest=False):
    jump = Jump(Turn("1", 1), 541, wind, guest)
    return lambda rules: [one.is_claim for one in claims_among([jump], Bar(540), rules)]


def excused(rules):
    """Left, twelve minutes later the next trial."""
    rows = log("drawn 1,2\nleft 1\n2: 5.00")
    late = [row if row.rev < 3 else type(row)(row.id, 3, row.fact, at=START + timedelta(minutes=14)) for row in rows]
    return [alarm.key for alarm in replay(start_lines("1 2"), late, rules).alarms]


NINE = [509 - n for n in range(9)]
EQUAL = [*NINE[:7], 400, 400]
AWAY = "drawn 1,2\n1: 5.00\nleft 2"
THREE_EACH = "drawn 1,2\n1: 5.00 x x\n2: 4.00 x x"
ZONE = "drawn 1,2\nboard_set 1 100\n1: 9.20"
NO_CUT = {"cuts": (), "reorder_before": ()}
PLACED = rank(contenders("1 5.00\n2 4.90"))

RECKONED = {
    "rounds": ({}, 7, lambda rules: event("drawn 1,2")(rules).rounds),
    "cuts": ({}, ((3, 6),), lambda rules: effective_cuts(rules, None)),
    "cut_needs_mark": ({}, False, going_on([500, 0, 0])),
    "ties_go_on": ({}, False, going_on(EQUAL)),
    "withdrawn_replaced": ({}, True, going_on(NINE, withdrawn=True)),
    "guests_hold_place": ({}, True, going_on(NINE, guest=True)),
    "guests_go_on": ({}, False, going_on(NINE, guest=True)),
    "guests_count_as_starters": ({}, True, lambda rules: event("drawn 1,2\n1: x", guests="1")(rules).starters),
    "reorder_before": ({"cuts": ()}, (), lambda rules: event(THREE_EACH)(rules).order_proposal),
    "order_after_cut": ({}, "as drawn", lambda rules: propose_order(lines(NINE), (), rules)),
    "call": (NO_CUT, "open pit", called(AWAY)),
    "standard": ({}, 495, lambda rules: qualifiers(PLACED, rules)),
    "qualify": ({}, 1, lambda rules: qualifiers(PLACED, rules)),
    "consecutive_trials": (NO_CUT, True, called(AWAY)),
    "excused_minutes": ({}, 10, excused),
    "trial_seconds": ({}, 30, clock_s),
    "consecutive_seconds": ({}, 90, lambda rules: clock_s(rules, consecutive=True)),
    "take_off_zone": ({"zone_cm": 80}, True, alarms(ZONE, sand_cm=800)),
    "zone_cm": ({"take_off_zone": True, "zone_cm": 10}, 80, alarms(ZONE, sand_cm=800)),
    "wind_limit_tenths": ({}, 15, lambda rules: event("drawn 1,2\n1: 5.00+1.8")(rules).entry("1").series.best_legal),
    "nwi_counts_for_bests": ({}, False, counting_winds),
    "windy_counts_for_bests": ({}, True, counting_winds),
    "nwi_counts_for_records": ({}, True, claimed(WindStatus.NWI)),
    "guests_set_records": ({}, True, claimed(WindStatus.LEGAL, guest=True)),
    "longest_long_jump_cm": ({}, 800, lambda rules: rules.longest_cm(triple=False)),
    "longest_triple_jump_cm": ({}, 1500, lambda rules: rules.longest_cm(triple=True)),
    "board_tolerance_cm": ({}, 5, alarms("drawn 1,2\nboard_checked 100 104")),
    "ask_above_best_cm": ({}, 80, asked(Trial(Result.MARK, 560))),
    "ask_below_best_cm": ({}, 300, asked(Trial(Result.MARK, 275))),
    "ask_wind_flip_tenths": ({}, 60, asked(Trial(Result.MARK, 500, Wind(-15)), (15, 16, 14))),
    "tied_first": (NO_CUT | {"rounds": 1}, "extra trials", alarms("drawn 1,2\n1: 5.00\n2: 5.00")),
}  # fmt: skip


@pytest.mark.parametrize("name", RECKONED)
def test_a_field_that_is_reckoned_changes_what_is_decided(name):
    beside, other, decide = RECKONED[name]
    rules = RuleSet().with_changes(beside)
    assert getattr(rules, name) != other
    assert decide(rules) != decide(rules.with_changes({name: other}))


def test_every_field_is_reckoned_somewhere_or_says_that_it_is_only_shown():
    assert {rule.name for rule in rules() if not rule.reckoned} == SHOWN
    decided = [set(RECKONED), DRAWS_POINTS_AND_REACH, ENTRIES_PIT_AND_SHEETS, SHOWN]
    assert sorted(name for names in decided for name in names) == sorted(rule.name for rule in rules())
    says = {rule.name: rule.says for rule in rules()}
    assert says["line"].endswith("the judges see to it.")
    assert "as printed; the officials end it" in says["open_pit_minutes"]


# Excused athletes (US schools): no round waits, and they catch up


def us(text, bibs="1 2 3", **changes):
    rules = RuleSet().with_changes(
        {"consecutive_trials": True, "cuts": (), "reorder_before": (), "rounds": 4} | changes
    )
    return replay(start_lines(bibs), log(text), rules)


def up(state):
    return [(turn.turn.entry, turn.turn.round) for turn in state.callable]


LEFT = "drawn 1,2,3\n1: 5.00\n2: 5.00\n3: 5.00\nleft 1\n2: 5.00\n3: 5.00"


def test_no_round_waits_for_an_excused_athlete():
    state = us(LEFT)
    assert up(state) == [("2", 3), ("3", 3), ("2", 4), ("3", 4)]
    assert state.waiting_for == ()
    assert us(LEFT, consecutive_trials=False).waiting_for == ("1",)


def test_who_comes_back_takes_the_trials_missed_in_a_row_up_to_the_round_of_the_others():
    state = us(f"{LEFT}\n2: 5.00\nreturned 1")
    assert up(state) == [("1", 2), ("1", 3), ("3", 3), ("1", 4), ("2", 4), ("3", 4)]
    assert [turn.why for turn in state.turns] == ["", "consecutive trial", "", "", "", ""]
    again = us(f"{LEFT}\n2: 5.00\nreturned 1\n1: 5.00")
    assert (up(again)[0], again.consecutive, again.clock_s) == (("1", 3), True, 120)


def test_who_comes_back_before_the_others_have_gone_on_has_nothing_to_catch_up():
    assert up(us(f"{LEFT}\nreturned 1"))[:4] == [("1", 2), ("1", 3), ("2", 3), ("3", 3)]
    state = us("drawn 1,2,3\n1: 5.00\n2: 5.00\nleft 3\nreturned 3")
    assert up(state)[:4] == [("3", 1), ("1", 2), ("2", 2), ("3", 2)]


def test_who_has_never_been_away_takes_no_two_trials_in_a_row():
    state = us("drawn 1,2,3\n1: 5.00 5.00\n2: 5.00 5.00")
    assert up(state)[:4] == [("3", 1), ("3", 2), ("1", 3), ("2", 3)]
    assert {turn.why for turn in state.turns} == {""}


# The time away


def away(back, last, minutes=10):
    """Left at 10:03; back and the last trial so many minutes after the start."""
    rows = log("drawn 1,2\n1: 5.00\nleft 1\nreturned 1\n2: 5.00")
    at = [1, 2, 3, back, last]
    timed = [
        type(row)(row.id, row.rev, row.fact, at=START + timedelta(minutes=m)) for row, m in zip(rows, at, strict=True)
    ]
    rules = RuleSet().with_changes({"excused_minutes": minutes})
    return replay(start_lines("1 2"), [row for row in timed if back or row.id != "r4"], rules).alarms


@pytest.mark.parametrize(
    ("back", "last", "told"),
    [(13, 14, False), (14, 15, True), (0, 13, False), (0, 14, True)],
    ids=["in time", "late", "still away", "still away, too long"],
)
def test_an_absence_that_was_too_long_is_an_alarm(back, last, told):
    found = away(back, last)
    assert [alarm.key for alarm in found] == (["excused r3"] if told else [])
    for alarm in found:
        assert (alarm.message % alarm.values).endswith("(left at 10:03).")


def test_an_absence_without_times_in_the_rows_is_no_alarm():
    rows = [type(row)(row.id, row.rev, row.fact) for row in log("drawn 1,2\nleft 1\n2: 5.00")]
    assert replay(start_lines("1 2"), rows, RuleSet().with_changes({"excused_minutes": 1})).alarms == ()


# Take-off zones and the clock


def test_marks_from_a_zone_are_no_bests_from_a_board():
    own = series("5.30+0.1")
    zone = RuleSet().with_changes({"take_off_zone": True, "zone_cm": 80})
    assert [best_sign(own, rules, ever=[500], season=[]) for rules in (RuleSet(), zone)] == ["PB", ""]


def test_an_open_pit_has_no_clock():
    state = us("drawn 1,2,3\n1: 5.00", call="open pit")
    assert state.clock_s == 0
