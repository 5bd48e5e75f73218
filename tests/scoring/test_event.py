import itertools
import random as randomness
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.event import replay
from scoring.facts import CutTaken, Drawn, Jumped, OrderCalled, TrialsConfirmed
from scoring.log import Row, Turn
from scoring.rulesets import RuleSet, rule_set
from scoring.state import Alarm, EventState, Stage, StartLine
from scoring.trials import Result, Trial
from scoring.wind import NWI, Wind
from tests.build import log, start_lines
from tests.depth import examples
from tests.published import by_the_book
from tests.scoring.any_log import any_log

LINES = start_lines("a b c d", guests="d", boards_cm={"a": 100})
RULES = [
    rule_set("international"),
    rule_set("three-only"),
    rule_set("open-pit"),
    rule_set("international").with_changes({"cuts": ((1, 2), (2, 1)), "reorder_before": (2, 3), "rounds": 3}),
    rule_set("qualification").with_changes({"standard": 510, "qualify": 2}),
]


def after(text: str, bibs: str = "1 2 3", rules: str = "three-only", *, changes=None, **lines) -> EventState:
    return replay(start_lines(bibs, **lines), log(text), rule_set(rules).with_changes(changes or {}))


def called(state: EventState) -> list[tuple[str, int]]:
    return [(turn.turn.entry, turn.turn.round) for turn in state.callable]


# Any log at all


@examples(150)
@given(any_log(), st.sampled_from(RULES))
def test_no_log_and_no_part_of_it_is_too_much(rows, rules):
    for end in range(len(rows) + 1):
        state = replay(LINES, rows[:end], rules, sand_cm=800)
        assert state.version == (rows[end - 1].rev if end else 0)
        assert sorted(entry.line.entry for entry in state.entries) == ["a", "b", "c", "d"]


@examples(150)
@given(any_log(), st.sampled_from(RULES), st.randoms())
def test_only_the_position_orders_rows_and_the_same_log_gives_the_same_state(rows, rules, random):
    state = replay(LINES, rows, rules, sand_cm=800)
    assert replay(LINES, random.sample(rows, len(rows)), rules, sand_cm=800) == state


@examples(150)
@given(any_log(), st.sampled_from(RULES))
def test_what_a_state_says_agrees_with_itself(rows, rules):
    state = replay(LINES, rows, rules, sand_cm=800)
    turns = [turn.turn for turn in state.turns]
    assert len(turns) == len(set(turns))
    assert set(state.callable) | set(state.away) == set(state.turns)
    by_name = {entry.line.entry: entry for entry in state.entries}
    for turn in turns:
        # Nobody is called for a turn that is taken, nor after leaving the event.
        taken = [t for t in by_name[turn.entry].turns if t.turn == turn and t.trial is not None]
        assert taken == []
        assert by_name[turn.entry].status != "DQ"
    for entry in state.entries:
        assert list(entry.by_round) == sorted(entry.by_round)
        if entry.status == "DQ":
            assert entry.series.marks == ()
        else:
            counting = [t for t in entry.by_round.values() if t.valid_mark is not None]
            assert sorted(t.valid_mark for t in counting) == sorted(entry.series.marks)
    field = [
        by_the_book.Jumper(e.line.entry, e.series.marks, e.status if e.status in ("DQ", "DNS") else "", e.guest)
        for e in state.entries
    ]
    assert {place.entry: place.place for place in state.places} == by_the_book.places(field)


# Whole events, played as the engine asks for them


class Player:
    """Takes every turn when it is due, and every proposal as it is made."""

    def __init__(self, entries: list[str], rules: RuleSet, seed: int, *, not_here: tuple[str, ...] = ()) -> None:
        self.random, self.rules = randomness.Random(seed), rules
        self.lines = [StartLine(entry, entry) for entry in entries]
        half = (len(entries) + 1) // 2
        self.rows: list[Row] = []
        self.record(Drawn((tuple(entries[:half]), tuple(entries[half:])), seed=seed))
        for entry in not_here:
            self.record(log(f"did_not_start {entry}")[0].fact)

    def record(self, fact) -> None:
        self.rows.append(Row(f"r{len(self.rows)}", len(self.rows) + 1, fact))

    @property
    def state(self) -> EventState:
        return replay(self.lines, self.rows, self.rules)

    def jump(self, entry: str, round: int, replacement: int = 0) -> None:
        fails = self.random.random() < 0.4
        mark = None if fails else self.random.randint(500, 506)
        self.record(Jumped(entry, round, Result.FAIL if fails else Result.MARK, mark, replacement))

    def step(self, state: EventState) -> bool:
        """One turn or decision; False when nothing is due."""
        if state.callable:
            self.jump(*state.callable[0].turn)
        elif trials := state.trials_proposal:
            self.record(TrialsConfirmed(trials.starters, trials.rounds, trials.with_cut))
        elif cut := state.cut_proposal:
            self.record(CutTaken(cut.after_round, cut.going_on, cut.going_on, cut.under_protest))
        elif order := state.order_proposal:
            self.record(OrderCalled(order.round, order.order, order.order))
        else:
            return False
        return True

    def play(self) -> list[EventState]:
        states = [self.state]
        while self.step(states[-1]):
            states.append(self.state)
        return states


@examples(40)
@given(
    st.integers(1, 13),
    st.integers(0, 3),
    st.sampled_from([rule_set(name) for name in ("international", "two-cuts", "three-only", "best-six-one-more")]),
    st.integers(0, 10**6),
)
def test_an_event_played_as_asked_comes_to_its_end(many, missing, rules, seed):
    entries = [f"a{number}" for number in range(many)]
    not_here = tuple(entries[: min(missing, many - 1)])
    player = Player(entries, rules, seed, not_here=not_here)
    states = player.play()
    last = states[-1]
    assert (last.stage, last.alarms, last.turns) == (Stage.FINISHED, (), ())
    rounds_of = {entry.line.entry: list(entry.by_round) for entry in last.entries}
    starters = [entry for entry in entries if entry not in not_here]
    still_in = set(starters)
    cuts = dict(rules.cuts) if rules.cuts and len(starters) > rules.cuts[0][1] else dict(rules.cuts[1:])
    for round in range(1, rules.rounds + 1):
        assert {entry for entry in entries if round in rounds_of[entry]} == still_in
        if round in cuts and len(starters) > cuts[round]:
            so_far = [
                by_the_book.Jumper(e.line.entry, tuple(t.mark for r, t in e.by_round.items() if r <= round and t.mark))
                for e in last.entries
                if e.line.entry in still_in
            ]
            still_in = by_the_book.going_on(so_far, cuts[round])
    assert {entry.line.entry for entry in last.entries if entry.status == "DNS"} == set(not_here)


@examples(25)
@given(st.integers(2, 11), st.integers(0, 10**6))
def test_nobody_jumps_twice_in_a_round_and_rounds_follow_one_another(many, seed):
    player = Player([f"a{number}" for number in range(many)], rule_set("international"), seed)
    player.play()
    jumped = [row.fact for row in player.rows if isinstance(row.fact, Jumped)]
    turns = [(fact.entry, fact.round) for fact in jumped]
    assert len(turns) == len(set(turns))
    half = (many + 1) // 2
    first, later = [f for f in jumped if f.round <= 3], [f for f in jumped if f.round > 3]
    # Flight after flight, in each round by round in the order of the draw.
    draw = [[f"a{n}" for n in range(half)], [f"a{n}" for n in range(half, many)]]
    assert [(f.entry, f.round) for f in first] == [
        (entry, round) for flight in draw for round in (1, 2, 3) for entry in flight
    ]
    assert [f.round for f in later] == sorted(f.round for f in later)
    called_order = [row.fact.order for row in player.rows if isinstance(row.fact, OrderCalled)]
    for round in (4, 5, 6):
        assert [f.entry for f in later if f.round == round] == [e for order in called_order for e in order]


@examples(20)
@given(st.integers(2, 10), st.integers(0, 10**6))
def test_disturbances_do_not_keep_an_event_from_its_end(many, seed):
    """Leaves and returns, replacement trials, retirements and corrections at random moments."""
    player = Player([f"a{number}" for number in range(many)], rule_set("international"), seed)
    away: set[str] = set()
    for _ in range(9 * many):
        state = player.state
        jumped = [row for row in player.rows if isinstance(row.fact, Jumped)]
        chance = player.random.random()
        if chance < 0.06 and state.callable:
            entry = player.random.choice(state.callable).turn.entry
            away.add(entry)
            player.record(log(f"left {entry} pit_2")[0].fact)
        elif chance < 0.09 and jumped:
            turn = player.random.choice(jumped).fact
            player.record(log(f"replaced {turn.entry} {turn.round} {turn.replacement}")[0].fact)
        elif chance < 0.10 and state.callable:
            player.record(Jumped(*state.callable[0].turn[:2], Result.RETIRED))
        elif (away and chance < 0.2) or (not player.step(state) and away):
            player.record(log(f"returned {away.pop()}")[0].fact)
    for entry in away:
        player.record(log(f"returned {entry}")[0].fact)
    last = player.play()[-1]
    assert (last.stage, last.turns) == (Stage.FINISHED, ())
    assert [alarm.key for alarm in last.alarms if alarm.key.split()[0] not in ("cut", "order", "extra")] == []


# Stages and starting lists


@pytest.mark.parametrize(
    ("text", "stage"),
    [
        ("", Stage.NOT_DRAWN),
        ("checked_in 1", Stage.NOT_DRAWN),
        ("drawn 1,2,3", Stage.DRAWN),
        ("drawn 1,2,3\n1: 5.00", Stage.IN_PROGRESS),
        ("1: 5.00", Stage.IN_PROGRESS),
        ("drawn 1,2,3\n1: 5.00\nsuspended", Stage.SUSPENDED),
        ("drawn 1,2,3\n1: 5.00\nsuspended\nresumed", Stage.IN_PROGRESS),
        ("drawn 1,2,3\n1: 5.00\nsuspended\nresumed\nsuspended", Stage.SUSPENDED),
        ("drawn 1,2,3\n1: 5.00 5.00 5.00\n2: 5.00 5.00 5.00\n3: x x x", Stage.FINISHED),
        ("drawn 1,2,3\nabandoned 0", Stage.ABANDONED),
        ("drawn 1,2,3\n1: 5.00\nabandoned 0\nclosed", Stage.CLOSED),
        ("drawn 1,2,3\nclosed\nvoided ~ r2 # signed too early", Stage.DRAWN),
    ],
)
def test_the_stage(text, stage):
    assert after(text).stage is stage


def test_without_a_draw_everybody_is_in_one_flight_as_soon_as_somebody_has_jumped():
    assert (after("").flights, after("").turns) == ((), ())
    state = after("2: 5.00")
    assert (state.flights, called(state)[:2]) == ((("1", "2", "3"),), [("1", 1), ("3", 1)])


def test_a_draw_names_only_those_on_the_list_and_the_others_jump_in_no_flight():
    state = after("drawn 1,9/2")
    assert state.flights == (("1",), ("2",))
    assert [(entry.line.entry, entry.flight, entry.order) for entry in state.entries] == [
        ("1", 1, 1), ("2", 2, 2), ("3", 0, 3),
    ]  # fmt: skip
    assert "3" not in dict(called(state))


@pytest.mark.parametrize(
    ("flight", "flights"),
    [
        (1, (("1", "9"), ("2", "3"))),
        (2, (("1",), ("2", "3", "9"))),
        (7, (("1",), ("2", "3", "9"))),
        (0, (("1", "9"), ("2", "3"))),
    ],
)
def test_somebody_added_at_the_pit_closes_a_flight(flight, flights):
    assert after(f"drawn 1/2,3\nadded 9 {flight}\nadded 3 1\nadded 77 1", "1 2 3 9").flights == flights


def test_the_state_of_one_entry():
    state = after("drawn 1,2,3\nchecked_in 2\n1: 5.00")
    assert (state.entry("2").checked_in, state.entry("1").checked_in, state.entry("3").checked_in) == (
        True, True, False,
    )  # fmt: skip
    with pytest.raises(KeyError):
        state.entry("9")


def test_the_round_is_that_of_the_first_turn_still_to_be_taken():
    assert after("drawn 1,2,3").round == 1
    assert after("drawn 1,2,3\n1: x\n2: x\n3: x").round == 2
    assert after("drawn 1,2,3\n1: x x x\n2: x x x\n3: x x x").round == 3


def test_consecutive_trials_have_the_longer_time():
    state = after("drawn 1\n1: 5.00", "1")
    assert state.consecutive
    assert not after("drawn 1,2\n1: 5.00", "1 2").consecutive
    assert not after("drawn 1", "1").consecutive


def test_ready_once_signed():
    assert (after("drawn 1").ready, after("drawn 1\nreadiness_signed").ready) == (False, True)


# Presence


@pytest.mark.parametrize(
    ("text", "status", "turns"),
    [
        ("did_not_start 1", "DNS", 0),
        ("did_not_start 1\nchecked_in 1", "", 3),
        ("withdrew 1", "DNS", 0),
        ("1: -\nwithdrew 1", "DNS", 0),
        ("1: x\nwithdrew 1", "NM", 0),
        ("1: 5.00\nwithdrew 1", "", 0),
        ("1: r", "DNS", 0),
        ("1: 5.00 r", "", 0),
        ("card 1 yellow", "", 3),
        ("card 1 yellow\ncard 1 yellow # spoke again", "DQ", 0),
        ("card 1 red", "DQ", 0),
        ("1: 5.00\ndisqualified 1", "DQ", 0),
        ("left 1\nwithdrew 1", "DNS", 0),
        ("joined 1 3", "", 1),
    ],
)
def test_who_still_jumps(text, status, turns):
    state = after(f"drawn 1\n{text}", "1")
    assert (state.entry("1").status, len(state.turns)) == (status, turns)


def test_cards_and_why_somebody_is_disqualified():
    entry = after("drawn 1\ncard 1 yellow # spoke\ncard 1 yellow # spoke again", "1").entry("1")
    assert (entry.cards, entry.status_reason) == (("yellow", "yellow"), "spoke again")


# Qualification


def test_who_has_the_standard_takes_no_further_trial_and_the_others_fill_up_at_the_end():
    changes = {"standard": 510, "qualify": 2}
    text = "drawn 1,2,3\n1: 5.10\n2: 5.05\n3: 5.00"
    state = after(text, rules="qualification", changes=changes)
    assert called(state) == [("2", 2), ("3", 2), ("2", 3), ("3", 3)]
    assert [entry.qualified for entry in state.entries] == ["Q", "", ""]
    over = after(f"{text}\n2: x x\n3: x x", rules="qualification", changes=changes)
    assert [entry.qualified for entry in over.entries] == ["Q", "q", ""]
    assert over.stage is Stage.FINISHED


# The gauge, two records, corrections


def test_a_new_gauge_ends_the_time_without_wind():
    state = after("drawn 1\nno_gauge\nno_gauge\n1: 5.00\nno_gauge yes\n1: 5.01\nno_gauge yes\n1: 5.02", "1")
    assert [turn.trial.wind for turn in state.entry("1").turns] == [NWI, None, None]
    assert (state.no_gauge, state.owed_winds) == (False, (Turn("1", 2), Turn("1", 3)))


def test_a_reading_outdoes_the_missing_gauge():
    assert after("drawn 1\nno_gauge\n1: 5.00+1.1", "1").entry("1").turns[0].trial.wind == Wind(11)


def test_a_failed_or_uncounted_trial_owes_no_wind():
    assert after("drawn 1\n1: x - 5.00 5.10", "1").owed_winds == (Turn("1", 3),)


def test_a_trial_that_both_records_hold_is_confirmed():
    state = after("drawn 1\n[pit] 1@1: 5.00+1.0\n[paper] 1@1: 5.00+1.1", "1")
    (turn,) = state.entry("1").turns
    assert (turn.confirmed, turn.disputed, turn.wind_disputed, turn.held) == (True, False, True, False)
    assert state.disputes == (Turn("1", 1),)


# Alarms


def keys(state: EventState) -> list[str]:
    return [alarm.key for alarm in state.alarms]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1: 5.00 x", []),
        ("9: 5.00", ["unknown r2"]),
        ("9: 5.00\nvoided ~ r2 # wrong event", []),
        ("did_not_start 1\n1: 5.00", ["dns 1"]),
        ("1: 5.00 5.00 5.00 5.00", ["extra 1 4 0"]),
        ("1: r 5.00", ["extra 1 2 0"]),
        ("1@1.1: 5.00", ["extra 1 1 1"]),
        ("disregarded 1 1\n1: 5.00", []),
        ("[pit] 1@1: x\n[paper] 1@1: -", ["disputed 1 1 0 r2 r3"]),
        ("[pit] 1@1: x+1.0\n[paper] 1@1: x+2.0", ["wind 1 1 0 r3 r5"]),
        ("board_checked 100 98\nboard_checked 100 102", []),
        ("board_checked 100 97", ["board r2"]),
        ("protest_lodged p1", ["protest p1"]),
        ("protest_lodged p1 1 1\nprotest_decided p1 no", []),
        ("rule_changed rounds 4", []),
        ("rule_changed rounds 2\nrule_changed reorder_before 3", ["rule r3"]),
        ("rule_changed rounds many", ["rule r2"]),
        ("protest_lodged p1\nalarm_settled protest_p1", []),
    ],
)
def test_alarms(text, expected):
    assert keys(after(f"drawn 1,2\n{text}", "1 2", boards_cm={"1": 100})) == expected


def test_a_rule_change_that_contradicts_the_others_changes_nothing():
    state = after("drawn 1\nrule_changed rounds 2\nrule_changed cuts 2:1 # too late", "1")
    assert (state.rules.rounds, state.rules.cuts) == (2, ())
    assert state.alarms[0] == Alarm(
        "rule r3",
        "The rule %(field)s cannot be %(value)s beside the other rules: the change is left out.",
        {"field": "cuts", "value": "2:1"},
    )


def test_a_mark_beyond_the_sand_is_an_alarm_only_where_board_and_sand_are_known():
    rows = log("drawn 1\n1: 9.05")
    lines, rules = start_lines("1", boards_cm={"1": 100}), rule_set("three-only")
    assert keys(replay(lines, rows, rules, sand_cm=800)) == ["range 1 1 0 905"]
    assert keys(replay(lines, rows, rules)) == []
    assert keys(replay(start_lines("1"), rows, rules, sand_cm=800)) == []


SMALL = {"cuts": ((1, 2),), "reorder_before": (2,), "rounds": 3}
SMALL_CUT = "drawn 1,2,3\n1: 5.00\n2: 5.10\n3: 5.20\ntrials_confirmed 3 3 yes\ncut_taken 1 3,2 3,2\n"


def test_a_correction_that_changes_the_order_called_is_an_alarm():
    text = f"{SMALL_CUT}order_called 2 2,3 2,3\n2@1: 5.30 ~ r3 # misheard"
    assert keys(after(text, rules="international", changes=SMALL)) == ["order 2 r7 3 2"]


def test_an_order_that_nobody_proposed_is_nobodys_alarm():
    rows = log(f"{SMALL_CUT}order_called 2 3,2 proposed=,\n2@1: 5.30 ~ r3 # misheard")
    assert rows[6].fact == OrderCalled(2, ("3", "2"), ())
    assert keys(replay(start_lines("1 2 3"), rows, rule_set("international").with_changes(SMALL))) == []


def test_a_decision_stands_though_a_correction_opens_a_turn_before_it():
    text = f"{SMALL_CUT}order_called 2 2,3 2,3\nvoided 1 1 ~ r2 # not this bib"
    state = after(text, rules="international", changes=SMALL)
    assert called(state) == [("1", 1), ("2", 2), ("3", 2), ("2", 3), ("3", 3)]
    assert state.cuts[0].going_on == ("3", "2")


def test_after_the_cut_it_is_known_who_goes_on():
    before = after("drawn 1,2,3\n1: 5.00", rules="international", changes=SMALL)
    assert [entry.goes_on for entry in before.entries] == [None, None, None]
    state = after(f"{SMALL_CUT}order_called 2 2,3 2,3", rules="international", changes=SMALL)
    assert [entry.goes_on for entry in state.entries] == [False, True, True]


def test_without_a_new_order_the_draw_stays_after_a_cut():
    changes = SMALL | {"reorder_before": ()}
    state = after(SMALL_CUT, rules="international", changes=changes)
    assert (state.order_proposal, called(state)) == (None, [("2", 2), ("3", 2), ("2", 3), ("3", 3)])


def test_a_second_order_before_the_last_round():
    """Re-ordering again before the last round is a field (from memory)."""
    changes = {"cuts": (), "reorder_before": (2, 3), "rounds": 3}
    text = "drawn 1,2\n1: 5.10\n2: 5.00\norder_called 2 2,1 2,1\n1: 5.10\n2: 5.20"
    state = after(text, "1 2", "international", changes=changes)
    assert state.order_proposal.order == ("1", "2")


def test_a_name_of_nobody_on_a_list_has_no_turn():
    state = after(
        f"{SMALL_CUT}order_called 2 9,2,3 9,2,3 ~ r6\ncut_taken 1 9,3,2 3,2", rules="international", changes=SMALL
    )
    assert called(state)[:2] == [("2", 2), ("3", 2)]


# Flights merged


def test_a_merge_outside_the_rounds_or_of_nobody_changes_nothing():
    assert called(after("drawn 1,2/3\nflights_merged 9 3,1,2")) == called(after("drawn 1,2/3"))
    assert called(after("drawn 1,2/3\nflights_merged 2 ,")) == called(after("drawn 1,2/3"))


def test_every_row_of_a_day_is_in_the_state_it_made():
    """`at` and `by` travel with protests and cuts, so that a page can say who and when."""
    rows = [
        Row("a", 1, Drawn((("1",),))),
        Row("b", 2, log("protest_lodged p1 1 1")[0].fact, by="R. Corder", reason="not on the line",
            at=datetime(2027, 6, 12, 14, 5, tzinfo=UTC)),
    ]  # fmt: skip
    (protest,) = replay(start_lines("1"), rows, rule_set("three-only")).protests
    assert (protest.by, protest.reason, protest.lodged_at.hour, protest.upheld) == (
        "R. Corder", "not on the line", 14, None,
    )  # fmt: skip


def test_a_trial_is_written_with_its_board_reason_and_wind():
    state = after("drawn 1\njumped 1 1 x reason=line board_cm=120", "1", boards_cm={"1": 100})
    assert state.entry("1").by_round == {1: Trial(Result.FAIL, reason="line", board_cm=120)}


def test_orders_are_permutations_whatever_is_named_in_them():
    """A called order may leave out or add names: members it leaves out jump first, strangers do not jump."""
    for order in itertools.permutations(("2", "3", "1")):
        state = after(f"{SMALL_CUT}order_called 2 {','.join(order)} 2,3", rules="international", changes=SMALL)
        assert called(state)[:2] == [(entry, 2) for entry in order if entry != "1"]
    state = after(f"{SMALL_CUT}order_called 2 3 2,3", rules="international", changes=SMALL)
    assert called(state)[:2] == [("2", 2), ("3", 2)]
