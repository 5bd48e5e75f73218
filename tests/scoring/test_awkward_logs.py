"""Logs that are not as they should be: rows twice, rows late, rows that contradict one another, names left out.

What must happen is common practice of field officials: nobody loses a trial or a turn without a sign, nothing that
was decided is undone by a row about something else.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.callorder import flight_units
from scoring.event import replay
from scoring.facts import Drawn, FlightsMerged, Jumped
from scoring.log import Row, Turn, standing
from scoring.rulesets import rule_set
from scoring.state import EventState, Stage, StartLine
from scoring.trials import Result
from scoring.wind import NWI
from tests.build import log, start_lines
from tests.depth import examples
from tests.scoring.any_log import any_log
from tests.scoring.test_event import LINES, RULES

TEN = "1 2 3 4 5 6 7 8 9 10"
DRAWN_TEN = "drawn 10,9,8,7,6,5,4,3,2,1"
THREE_ROUNDS = "\n".join(f"{n}: 5.{60 - n} x 5.00" for n in range(1, 11))
EIGHT, ORDER = "1,2,3,4,5,6,7,8", "8,7,6,5,4,3,2,1"
CONFIRMED = f"{DRAWN_TEN}\n{THREE_ROUNDS}\ntrials_confirmed 10 6 yes"
CUT = f"{CONFIRMED}\ncut_taken 3 {EIGHT} {EIGHT}"
CALLED = f"{CUT}\norder_called 4 {ORDER} {ORDER}"
ROUNDS_4_AND_5 = "\n".join(f"{n}@4: x x" for n in range(1, 9))


def after(text: str, bibs: str = "1 2 3", rules: str = "three-only", *, sand_cm=None, changes=None, **lines):
    chosen = rule_set(rules).with_changes(changes or {})
    return replay(start_lines(bibs, **lines), log(text), chosen, sand_cm=sand_cm)


def ten(text: str = "", *, upto: str = CALLED, rules: str = "international", **more) -> EventState:
    return after(f"{upto}\n{text}", TEN, rules, **more)


def turns(state: EventState, entry: str = "") -> list[tuple[str, int]]:
    return [(t.turn.entry, t.turn.round) for t in state.turns if not entry or t.turn.entry == entry]


def keys(state: EventState) -> list[str]:
    return [alarm.key for alarm in state.alarms]


# How far the event is


def test_while_a_decision_is_due_the_event_has_not_reached_the_rounds_behind_it():
    assert (ten(upto=CONFIRMED).round, ten(upto=CUT).round, ten().round) == (3, 3, 4)
    assert after("drawn 1,2,3\n1: x x x\n2: x x x\n3: x x x\nabandoned 3").round == 3


@pytest.mark.parametrize(
    ("rows", "rounds"),
    [
        ("trials_confirmed 10 5 yes # buses", 5),  # fewer rounds with the cut
        ("trials_confirmed 10 6 yes", 6),
        ("trials_confirmed 10 4 no # agreed", 4),
        ("trials_confirmed 10 6 no\nrule_changed rounds 4 # buses", 4),  # what was said later
        ("rule_changed rounds 4 # agreed\ntrials_confirmed 10 5 no # agreed again", 5),
        ("trials_confirmed 10 6 no\nrule_changed rounds many", 6),  # left out, with an alarm
        ("trials_confirmed 10 5 no\nshortened 3", 3),
    ],
)
def test_the_number_of_rounds_is_what_was_said_last(rows, rounds):
    assert ten(rows, upto=f"{DRAWN_TEN}\n{THREE_ROUNDS}").rounds == rounds


def test_an_event_shortened_to_its_first_rounds_needs_no_number_of_trials():
    state = ten("shortened 3 # buses", upto=f"{DRAWN_TEN}\n{THREE_ROUNDS}")
    assert (state.trials_proposal, state.stage) == (None, Stage.FINISHED)


# Who is in it


def test_who_came_after_the_draw_and_is_in_no_flight_is_an_alarm_until_it_is_settled_who_they_are():
    assert keys(after("drawn 1,2")) == ["undrawn 3"]
    for settled in ("added 3 1", "did_not_start 3", "withdrew 3", "disqualified 3", "drawn 3,1,2"):
        assert keys(after(f"drawn 1,2\n{settled}")) == [], settled
    assert keys(after("")) == []


def test_missed_rounds_are_no_more_than_there_are():
    state = after("drawn 1,2,3\njoined 1 999999999\n2: 5.00")
    assert (sorted(state.entry("1").by_round), turns(state, "1")) == ([1, 2, 3], [])
    assert sorted(ten("joined 10 6").entry("10").by_round) == [1, 2, 3]  # no pass where the cut left out
    assert after("drawn 1\njoined 1 0\n1: 5.00", "1").starters == 1


@pytest.mark.parametrize(
    ("rows", "starters"),
    [
        ("1: 5.00\n2: -", 2),
        ("1: 5.00\n2: -\njoined 1 3", 2),  # jumped in round 1, so started
        ("1: 5.00\njoined 2 2\n2: -", 1),  # the pass stands for having come late
        ("1: 5.00\njoined 2 1\n2: x", 2),
    ],
)
def test_who_started(rows, starters):
    assert after(f"drawn 1,2\n{rows}", "1 2").starters == starters


# Flights merged


def test_a_name_forgotten_in_the_joint_order_loses_no_turn():
    first = "drawn 1,2/3,4\n1: x\n2: x\n3: x\n4: x"
    state = after(f"{first}\nflights_merged 2 3,1,4 # rain", "1 2 3 4")
    assert turns(state) == [(bib, round) for round in (2, 3) for bib in "3142"]


def test_a_flight_that_is_not_merged_keeps_its_place():
    units = flight_units([("a",), ("b",), ("c",)], 1, 3, [FlightsMerged(2, ("b", "a"))])
    assert [(unit.flight, unit.first, unit.last, unit.order) for unit in units] == [
        (1, 1, 1, ("a",)), (2, 1, 1, ("b",)), (1, 2, 3, ("b", "a")), (3, 1, 3, ("c",)),
    ]  # fmt: skip


def test_two_merges_after_one_another():
    merges = [FlightsMerged(2, ("b", "a")), FlightsMerged(3, ("c", "a", "b"))]
    units = flight_units([("a",), ("b",), ("c",)], 1, 3, merges)
    assert [(unit.first, unit.last, unit.order) for unit in units] == [
        (1, 1, ("a",)), (1, 1, ("b",)), (2, 2, ("b", "a")), (1, 2, ("c",)), (3, 3, ("c", "a", "b")),
    ]  # fmt: skip


# Called in, second cuts, disregarded


def test_called_in_from_a_later_round_and_not_before_it():
    assert turns(ten("called_in 9 5"), "9") == [("9", 5), ("9", 6)]
    assert turns(ten("called_in 9 4"), "9") == [("9", 4), ("9", 5), ("9", 6)]
    assert turns(ten("called_in 9 2"), "9") == [("9", 4), ("9", 5), ("9", 6)]  # not before the cut
    jumped = ten("called_in 9 5\n9@5: 5.90")
    assert (jumped.entry("9").best, keys(jumped)) == (590, [])


def test_who_was_called_in_is_not_spared_the_next_cut():
    text = f"called_in 9 4\n9@4: x x\n{ROUNDS_4_AND_5}\ncut_taken 5 1,2,3,4 1,2,3,4"
    assert turns(ten(text, rules="two-cuts")) == [(bib, 6) for bib in "4321"]


def test_called_in_after_the_second_cut_keeps_the_rounds_before_it():
    text = f"8@4: 5.90 x\n{ROUNDS_4_AND_5.replace('8@4: x x', '')}\ncut_taken 5 1,2,3,4 1,2,3,4\ncalled_in 8 6"
    state = ten(text, rules="two-cuts")
    assert (state.entry("8").best, turns(state, "8")) == (590, [("8", 6)])


def test_a_second_cut_is_among_those_who_are_still_in_it():
    """Five of the eight are disqualified in rounds 4 and 5: the first cut is not replayed."""
    gone = "\n".join(f"disqualified {n} # spikes too long" for n in range(1, 6))
    state = ten(f"{ROUNDS_4_AND_5}\n{gone}", rules="two-cuts")
    assert state.cut_proposal.going_on == ("6", "7", "8")
    assert {verdict.entry for verdict in state.cut_proposal.verdicts} == set(EIGHT.split(","))


def test_disregarded_twice_is_disregarded_from_the_earlier_round():
    state = after("drawn 1\ndisregarded 1 2\ndisregarded 1 3\n1: 5.00 5.10 5.20", "1")
    assert state.entry("1").best == 500


# The same thing said twice, or again with other words, after the cut


@pytest.mark.parametrize(
    "again", ["disqualified 3 # and again", "disqualified 3 ~ r32 # of age, spikes too long", "card 3 red # shouted"]
)
def test_a_disqualification_said_again_after_the_cut_was_before_it_all_the_same(again):
    others = "1,2,4,5,6,7,8,9"
    state = ten(f"disqualified 3 # not of age\ncut_taken 3 {others} {others}\n{again}", upto=CONFIRMED)
    assert log(f"{CONFIRMED}\ndisqualified 3")[-1].id == "r33"
    assert (keys(state), state.entry("3").status) == ([], "DQ")
    assert state.entry("3").status_reason == again.partition("# ")[2]


def test_a_withdrawal_said_again_after_the_cut_was_before_it_all_the_same():
    seven = "1,2,4,5,6,7,8"
    assert keys(ten(f"withdrew 3\ncut_taken 3 {seven} {seven}\nwithdrew 3", upto=CONFIRMED)) == []


# Under protest

PROTESTED = CONFIRMED.replace("10: 5.50 x 5.00", "10: x/5.99 x 5.00")
WENT = f"{PROTESTED}\nprotest_lodged p1 10 1\ncut_taken 3 {EIGHT} {EIGHT} 10\norder_called 4 10,{ORDER} 10,{ORDER}"


def test_nobody_drops_out_when_the_protest_is_upheld_and_no_alarm_says_so():
    assert keys(ten("10@4: 5.70\nprotest_decided p1 yes", upto=WENT)) == []


def test_trials_under_protest_raise_no_alarm_while_it_is_open():
    assert keys(ten("10@4: 5.70", upto=WENT)) == ["protest p1"]
    assert keys(ten("10@4: 5.70\nprotest_decided p1 no", upto=WENT)) == []


def test_once_it_is_not_upheld_there_are_no_further_trials():
    assert turns(ten("protest_decided p1 no", upto=WENT), "10") == []
    assert turns(ten("protest_decided p1 yes", upto=WENT), "10") == [("10", 4), ("10", 5), ("10", 6)]


def test_another_protest_of_the_same_athlete_does_not_make_the_further_trials_count():
    another = "protest_decided p1 no\nprotest_lodged p2 10 5\nprotest_decided p2 yes # rake in the sand"
    assert ten(f"10@4: 5.95\n{another}", upto=WENT).entry("10").best == 500


def test_an_appeal_may_uphold_what_the_referee_did_not():
    assert ten("10@4: 5.70\nprotest_decided p1 no\nprotest_decided p1 yes # jury", upto=WENT).entry("10").best == 599
    second = "10@4: 5.70\nprotest_decided p1 no\nprotest_lodged p2 10 1\nprotest_decided p2 yes # jury"
    assert ten(second, upto=WENT).entry("10").best == 599


@pytest.mark.parametrize("decided", ["", "protest_decided p2 no # judge is sure"])
def test_a_rival_who_protests_against_an_upheld_mark_does_not_take_it_away_by_protesting(decided):
    own = "1: x/5.90\nprotest_lodged p1 1 1\nprotest_decided p1 yes # heel on the board"
    state = after(f"drawn 1,2,3\n{own}\nprotest_lodged p2 1 1 by=rival\n{decided}")
    assert (state.entry("1").best, state.entry("1").turns[0].held) == (590, False)


def test_under_protest_stays_in_front_of_a_second_order_only_while_it_is_open():
    changes = {"reorder_before": (4, 6)}
    jumped = f"10@4: 5.20 5.20\n{ROUNDS_4_AND_5}"
    assert ten(jumped, upto=WENT, changes=changes).order_proposal.order[0] == "10"
    upheld = ten(f"{jumped}\nprotest_decided p1 yes", upto=WENT, changes=changes)
    assert upheld.order_proposal.order[-1] == "10"


def test_an_order_with_those_under_protest_in_front_is_no_alarm():
    called = f"{ROUNDS_4_AND_5}\n10@4: x x\norder_called 6 10,{ORDER} 10,{ORDER}"
    assert keys(ten(called, upto=WENT, changes={"reorder_before": (4, 6)})) == ["protest p1"]


# Boards, gauge, open pit


@pytest.mark.parametrize(("board_cm", "sand_cm"), [(-5, 800), (0, 800), (100, 0)])
def test_a_board_or_sand_that_cannot_be_makes_no_event_unreadable(board_cm, sand_cm):
    state = after(f"drawn 1\njumped 1 1 mark 500 board_cm={board_cm}", "1", sand_cm=sand_cm)
    assert state.entry("1").best == 500


@pytest.mark.parametrize(
    ("text", "wind"),
    [
        ("1: 5.34\nno_gauge\n1@1: 5.43 ~ r2 # misheard\n1@1: 5.44 ~ r4 # misheard again", None),
        ("no_gauge\n1: 5.34\nno_gauge yes\n1@1: 5.43 ~ r3 # misheard", NWI),
        ("1: 5.34\nno_gauge\nvoided 1 1 moved_to=2 ~ r2\n2@1: 5.34 ~ r2 # moved from bib 1", None),
    ],
)
def test_an_owed_wind_stays_owed_and_a_declared_one_declared_however_often_the_trial_is_put_right(text, wind):
    state = after(f"drawn 1,2\n{text}", "1 2")
    assert [t.trial.wind for entry in state.entries for t in entry.turns if t.trial] == [wind]


def test_a_corrected_trial_keeps_the_board_it_was_jumped_from():
    text = "drawn 1\n1: 5.34\nboard_set 1 200\n1@1: 5.43 ~ r2 # misheard\n1@2: 5.20"
    for lines, board_cm in (({}, None), ({"boards_cm": {"1": 100}}, 100)):
        state = after(text, "1", **lines)
        assert [turn.trial.board_cm for turn in state.entry("1").turns] == [board_cm, 200]


def test_when_a_correction_was_first_written_down():
    rows = log("1: 5.34\n1@1: 5.43 ~ r1 # misheard\n1@1: 5.44 ~ r2 # once more\n2: 5.00")
    assert [standing(rows).first_rev(row) for row in rows] == [1, 1, 1, 4]
    in_a_circle = [Row("a", 1, Drawn(()), ("b",)), Row("b", 2, Drawn(()), ("a",))]
    assert standing(in_a_circle).first_rev(in_a_circle[1]) == 1


def test_in_an_open_pit_nobody_waits_for_who_is_away():
    state = after("drawn 1,2\nleft 1 first_aid", "1 2", "open-pit")
    assert [(t.turn.entry, t.turn.round) for t in state.callable] == [("2", 1), ("2", 2), ("2", 3)]
    assert state.waiting_for == ()


# Equal first


def test_where_extra_trials_decide_an_equal_first_place_the_referee_is_told():
    text = "drawn 1,2,3\n1: 5.00 x x\n2: 5.00 x x\n3: 4.90 x x"
    changes = {"tied_first": "extra trials"}
    assert keys(after(text, changes=changes)) == ["tied first 1 2"]
    assert keys(after(text.removesuffix(" x"), changes=changes)) == []  # not over yet
    assert keys(after(text.replace("3: 4.90", "3: 5.10"), changes=changes)) == []  # equal second is shared
    assert keys(after(text)) == []


# Any log at all


@examples(200)
@given(any_log(), st.sampled_from(RULES))
def test_turns_are_offered_to_those_who_can_take_them_and_once(rows, rules):
    state = replay(LINES, rows, rules, sand_cm=800)
    listed = standing(rows)
    out = {row.fact.entry for kind in listed.live for row in listed.live[kind] if kind.__name__ == "Withdrew"}
    by_round: dict[int, list[str]] = {}
    for offered in state.turns:
        entry, round, replacement = offered.turn
        own = state.entry(entry)
        assert 1 <= round <= state.rounds
        assert entry not in out
        assert own.status not in ("DQ", "DNS")
        assert round >= own.joined_round
        retired = [t.turn.round for t in own.turns if t.trial is not None and t.trial.result is Result.RETIRED]
        assert round < min(retired, default=round + 1)
        assert Turn(entry, round, replacement) not in {t.turn for t in own.turns if t.trial is not None}
        by_round.setdefault(round, []).append(entry)
    # Nobody stands in two orders.
    assert all(len(names) == len(set(names)) for names in by_round.values())


@examples(200)
@given(any_log(), st.sampled_from(RULES))
def test_no_trial_disappears_from_the_state(rows, rules):
    """Every trial of somebody on the list is shown: it stands, differs from another, or is kept as void."""
    state = replay(LINES, rows, rules, sand_cm=800)
    log_now = standing(rows)
    for entry in state.entries:
        shown = {row for turn in entry.turns for row in turn.rows}
        void = sum(len(turn.void) for turn in entry.turns)
        own = [row for row in rows if isinstance(row.fact, Jumped) and row.fact.entry == entry.line.entry]
        heads = [row for row in own if row.id not in log_now.superseded]
        kept = [row for row in heads if row.id in shown]
        replaced = [row for row in heads if Turn(*_turn(row)) in log_now.replaced]
        assert {row.id for row in kept} == shown
        assert len(kept) + len(replaced) == len(heads)
        assert void >= len(replaced)


def _turn(row: Row) -> tuple[str, int, int]:
    return row.fact.entry, row.fact.round, row.fact.replacement


@examples(100)
@given(st.integers(2, 14), st.integers(0, 10**6), st.integers(1, 12))
def test_what_an_alarm_says_is_gone_when_its_cause_is_gone(many, seed, at):
    """A trial taken down for a bib that has no turn is an alarm, and none once the row is taken back."""
    lines = [StartLine(str(n), str(n)) for n in range(many)]
    facts = [Drawn((tuple(str(n) for n in range(many)),), seed=seed), Jumped(str(at % many), 4, Result.MARK, 500)]
    rows = [Row(str(rev), rev, fact) for rev, fact in enumerate(facts, 1)]
    state = replay(lines, rows, rule_set("three-only"))
    assert keys(state) == [f"extra {at % many} 4 0"]
    rows.append(Row("3", 3, log("voided")[0].fact, ("2",), reason="wrong round"))
    assert keys(replay(lines, rows, rule_set("three-only"))) == []


def test_flights_joined_for_an_earlier_round_by_a_stranger_are_not_called_twice():
    """`z` is in no flight, but in the first joining; the second names only `z`, and an earlier round."""
    state = replay(
        start_lines("a b"), log("drawn a,b\na: 5.00\nflights_merged 2 a,z\nflights_merged 1 z"), rule_set("three-only")
    )
    assert [turn.turn for turn in state.turns] == [
        Turn("b", 1), Turn("a", 2), Turn("b", 2), Turn("a", 3), Turn("b", 3),
    ]  # fmt: skip


def test_who_only_passed_and_then_did_not_start_is_called_no_more():
    """No trial taken at all is a DNS; the alarm says that a pass was written."""
    state = replay(start_lines("a b"), log("drawn a,b\na: -\ndid_not_start a"), rule_set("three-only"))
    assert {turn.turn.entry for turn in state.turns} == {"b"}
    assert (state.entry("a").status, [alarm.key for alarm in state.alarms]) == ("DNS", ["dns a"])
