"""What the next trial must bring, by tables and against trying every mark with the engine's own cut and places."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.cut import CutLine, propose_cut, qualifiers
from scoring.event import replay
from scoring.facts import Jumped
from scoring.log import Row
from scoring.needs import Need, NoNeed, cut_as_it_stands, mark_to_go_on, mark_to_qualify, mark_to_win, needs_of
from scoring.places import Contender, rank_by_class
from scoring.rulesets import rule_set
from scoring.state import NextTurn
from scoring.trials import Result
from tests.build import contender, contenders, log, played, start_lines

LONGEST = 950
INSIDE, TOO_FAR = NoNeed.INSIDE, NoNeed.TOO_FAR
# A world small enough to try every mark in, and so narrow that ties and next bests happen all the time.
FEW, SMALL_LONGEST = 4, 6


def rules_with(**changes):
    return rule_set("international").with_changes(changes)


def cut_lines(table):
    """An entry a line: key, marks so far, and words after a semicolon: guest, withdrawn, DNS."""
    lines = []
    for draw, text in enumerate(table.strip().splitlines(), 1):
        marks, _, words = text.partition(";")
        entry, *trials = marks.split()
        valid = contender(entry, " ".join(trials)).marks if trials else ()
        status = "DNS" if "DNS" in words else ""
        lines.append(CutLine(entry, valid, draw, status, "guest" in words, "withdrawn" in words))
    return lines


@pytest.mark.parametrize(
    ("table", "changes", "needed"),
    [
        ("a 5.12\nb 5.00\nc 4.90", {}, Need(500)),
        ("a 5.12\nb 5.00 4.80\nc 4.90 4.80", {}, Need(500)),
        ("a 5.12\nb 5.00 4.95\nc 4.90", {}, Need(501)),
        ("a 5.12\nb 5.00\nc", {}, Need(500)),
        ("a 5.12\nb 5.00\nc 5.01", {}, Need(None, INSIDE)),
        ("a 5.12\nb 5.00\nc 5.00", {}, Need(None, INSIDE)),
        ("a 5.12\nb\nc", {}, Need(1)),
        ("a 5.12\nb 5.00\nc 5.00", {"ties_go_on": False}, Need(1)),
        ("a 5.12\nb 5.00; guest\nc 4.90\nd 4.80", {}, Need(None, INSIDE)),
        ("a 5.12\nb 5.00\nc 4.90; guest", {}, Need(500)),
        ("a 5.12\nb 5.00\nc 4.90; guest", {"guests_go_on": False}, Need(None, TOO_FAR)),
        ("a 5.12; guest\nb 5.00\nc 4.90\nd 4.80", {"guests_hold_place": True}, Need(500)),
        ("a 5.12; withdrawn\nb 5.00\nc 4.90", {}, Need(500)),
        ("a 5.12; withdrawn\nb 5.00\nc 4.90", {"withdrawn_replaced": True}, Need(None, INSIDE)),
        ("a 9.50 9.50\nb 9.50 9.50\nc 9.49", {}, Need(None, TOO_FAR)),
    ],
    ids=[
        "equal to the last place is enough: all who are equal go on",
        "equal in every mark too",
        "the next best of the other is better",
        "without a mark so far",
        "inside already",
        "inside by being equal",
        "fewer have a mark than may go on",
        "equal and behind in the draw, the next best decides",
        "a guest holds no place",
        "a guest who is good enough is an extra",
        "guests take no further trials",
        "a guest holds a place where the rules say so",
        "who has withdrawn holds the place",
        "who has withdrawn is replaced",
        "no mark that can be is enough",
    ],
)
def test_the_mark_to_go_on(table, changes, needed):
    found = mark_to_go_on(cut_lines(table), "c", 3, rules_with(cuts=((3, 2),), **changes), longest=LONGEST)
    assert found == needed


@pytest.mark.parametrize(
    ("table", "needed"),
    [
        ("a 5.12 5.05\nb 5.00", Need(513)),
        ("a 5.12\nb 5.00", Need(512)),
        ("a 5.12 4.98\nb 5.02", Need(512)),
        ("a 5.12 5.02\nb 5.02", Need(513)),
        ("a 5.12 5.02 5.00\nb 5.02 5.01", Need(512)),
        ("a 5.12\nb 5.12", Need(1)),
        ("a 5.12\nb 5.13", Need(None, INSIDE)),
        ("a\nb", Need(1)),
        ("a 9.50 9.50\nb 9.49", Need(None, TOO_FAR)),
    ],
    ids=[
        "longer than the best",
        "equal best, and the other has no next best",
        "equal best, next best decides",
        "equal best and next best: a further mark is missing",
        "the third best decides",
        "equal first: any further mark wins",
        "alone in front already",
        "nobody has a mark",
        "no mark that can be is enough",
    ],
)
def test_the_mark_to_win(table, needed):
    field = [contender(*(line.split(maxsplit=1) if " " in line else (line, "x"))) for line in table.splitlines()]
    assert mark_to_win(field, "b", longest=LONGEST) == needed


def test_each_impairment_class_has_a_first_place_of_its_own():
    field = [contender("a", "5.12"), contender("b", "3.00", klass="T20"), contender("c", "3.40 3.20", klass="T20")]
    assert mark_to_win(field, "b", longest=LONGEST) == Need(341)


@pytest.mark.parametrize(
    ("own", "needed"),
    [("4.00", Need(500)), ("5.00", Need(None, INSIDE)), ("6.01", Need(None, INSIDE)), ("x", Need(500))],
)
def test_the_mark_to_qualify_by_place(own, needed):
    rules = rule_set("qualification").with_changes({"standard": 600, "qualify": 2})
    field = [*contenders("a 6.10\nc 5.00\nd 4.50"), contender("b", own)]
    assert mark_to_qualify(field, "b", rules, longest=LONGEST) == needed


def test_the_standard_qualifies_where_the_places_are_taken():
    rules = rule_set("qualification").with_changes({"standard": 600, "qualify": 0})
    assert mark_to_qualify(contenders("a 6.10\nb 5.00"), "b", rules, longest=LONGEST) == Need(600)


def state_of(text, bibs="a b c", rules=None, **lines):
    return replay(start_lines(bibs, **lines), log(text), rules or rules_with(cuts=((3, 2),)))


def needed(state, entry):
    needs = needs_of(state, entry, longest=LONGEST)
    return (needs.go_on.mark or needs.go_on.why_none, needs.win.mark or needs.win.why_none,
            needs.lead.mark or needs.lead.why_none)  # fmt: skip


THREE = "drawn a,b,c"


def test_what_is_needed_in_an_event_and_at_which_cut():
    state = state_of(f"{THREE}\na: 5.12\nb: 5.00")
    needs = needs_of(state, "c", longest=LONGEST)
    assert (needs.go_on, needs.win, needs.lead) == (Need(500), Need(513), Need(513))
    assert (needs.after_round, needs.how_many) == (3, 2)


def test_a_guest_wins_nothing_and_may_lead():
    state = state_of(f"{THREE}\na: 5.12\nb: 5.00", guests="c")
    assert needed(state, "c") == (NoNeed.NOTHING_AHEAD, NoNeed.NO_PLACE, 513)


def test_before_a_guest_in_front_the_two_marks_differ():
    state = state_of(f"{THREE},g\na: 5.12\nb: 5.00\ng: 6.02", bibs="a b c g", guests="g")
    assert needed(state, "c") == (500, 513, 603)


def test_with_no_more_starters_than_may_go_on_there_is_no_cut():
    state = state_of(f"{THREE}\na: 5.12\nb: 5.00", rules=rules_with(cuts=((3, 3),)))
    assert needed(state, "c") == (NoNeed.NOTHING_AHEAD, 513, 513)


def test_who_did_not_start_makes_no_cut():
    state = state_of(f"{THREE}\ndid_not_start b\na: 5.12")
    assert (state.next_cut, needed(state, "c")[0]) == (None, NoNeed.NOTHING_AHEAD)


def test_a_set_without_a_cut_has_none_ahead():
    state = state_of(f"{THREE}\na: 5.12", rules=rule_set("three-only"))
    assert (state.next_cut, needed(state, "b")[:2]) == (None, (NoNeed.NOTHING_AHEAD, 513))


def test_whoever_has_no_trial_left_before_the_cut_needs_nothing():
    state = state_of(f"{THREE}\na: 5.12 x x\nb: 5.00 x\nc: 4.90 x")
    state_confirmed = state_of(f"{THREE}\na: 5.12\nb: 5.00\nc: 4.90\ntrials_confirmed 3 6 yes\na: x x\nb: x\nc: x")
    assert needed(state_confirmed, "a") == (NoNeed.NO_TRIAL,) * 3
    assert needed(state_confirmed, "c")[0] == needed(state, "c")[0] == 500


def test_a_turn_that_comes_after_the_cut_is_no_help_at_it():
    """A replacement trial of round 4 while the cut after round 3 is open again."""
    state = state_of(f"{THREE}\na: 5.12")
    late = state.turns[-1].turn._replace(round=4)
    needs = needs_of(replace(state, turns=(NextTurn(late, 1),)), late.entry, longest=LONGEST)
    assert needs.go_on == Need(None, NoNeed.NO_TRIAL)


TAKEN = f"""{THREE}
a: 5.12
b: 5.00
c: 4.90
trials_confirmed 3 6 yes
a: x x
b: x x
c: x x
cut_taken 3 a,b a,b
order_called 4 b,a b,a
"""


def test_after_the_last_cut_only_winning_is_left():
    assert needed(state_of(TAKEN), "b") == (NoNeed.NOTHING_AHEAD, 512, 512)


def test_at_a_second_cut_only_those_still_in_are_counted():
    rules = rule_set("two-cuts").with_changes({"cuts": ((3, 2), (5, 1)), "reorder_before": (4,)})
    needs = needs_of(state_of(TAKEN, rules=rules), "b", longest=LONGEST)
    assert (needs.go_on, needs.after_round, needs.how_many) == (Need(512), 5, 1)


def test_an_athlete_who_retired_holds_the_place():
    state = state_of(
        f"{THREE},d\na: 5.12\nb: 5.00\nc: 4.90\nd: 4.00\ntrials_confirmed 4 6 yes\na: r\nb: x", bibs="a b c d"
    )
    assert needed(state, "c")[0] == 500


def test_who_would_go_on_now():
    state = state_of(f"{THREE}\na: 5.12\nb: 5.00\nc: 4.90")
    assert (cut_as_it_stands(state).going_on, cut_as_it_stands(state_of(TAKEN))) == (("a", "b"), None)


def test_a_qualifying_place_without_a_cut():
    rules = rule_set("qualification").with_changes({"standard": 700, "qualify": 1})
    state = state_of(f"{THREE}\na: 5.12\nb: 5.00", rules=rules, guests="")
    assert needed(state, "c")[0] == 512


def test_a_guest_fills_no_qualifying_place():
    rules = rule_set("qualification").with_changes({"standard": 700, "qualify": 1})
    state = state_of(f"{THREE}\na: 5.12\nb: 5.00", rules=rules, guests="c")
    assert needed(state, "c")[0] == NoNeed.NO_PLACE


def test_an_unknown_entry_is_an_error_of_who_asks():
    with pytest.raises(KeyError):
        needs_of(state_of(THREE), "nobody", longest=LONGEST)


def by_trying(enough, longest=SMALL_LONGEST):
    """The same answer by trying every mark."""
    if enough(None):
        return Need(why_none=INSIDE)
    found = [mark for mark in range(1, longest + 1) if enough(mark)]
    return Need(found[0]) if found else Need(why_none=TOO_FAR)


def more(marks, mark):
    return marks if mark is None else tuple(sorted((*marks, mark), reverse=True))


marks = st.lists(st.integers(1, FEW), max_size=3).map(lambda found: tuple(sorted(found, reverse=True)))
fields = st.lists(
    st.tuples(marks, st.booleans(), st.booleans(), st.sampled_from(["", "", "", "DNS", "DQ"])), min_size=1, max_size=6
)


@given(
    fields,
    st.integers(1, 4),
    st.fixed_dictionaries(
        {
            name: st.booleans()
            for name in (
                "ties_go_on", "guests_hold_place", "guests_go_on", "cut_needs_mark", "withdrawn_replaced",
            )
        }
    ),
)  # fmt: skip
def test_going_on_is_as_trying_every_mark_says(field, how_many, changes):
    rules = rules_with(cuts=((3, how_many),), **changes)
    lines = [
        CutLine(str(n), () if status else own, n, status, guest, withdrawn)
        for n, (own, guest, withdrawn, status) in enumerate(field)
    ]
    lines[0] = lines[0]._replace(status="", withdrawn=False)

    def enough(mark):
        tried = [lines[0]._replace(marks=more(lines[0].marks, mark)), *lines[1:]]
        return "0" in propose_cut(tried, 3, rules).going_on

    assert mark_to_go_on(lines, "0", 3, rules, longest=SMALL_LONGEST) == by_trying(enough)


@given(fields, st.lists(st.sampled_from(["", "T20"]), min_size=6, max_size=6))
def test_winning_is_as_trying_every_mark_says(field, classes):
    found = [
        Contender(str(n), () if status else own, status, guest, classes[n])
        for n, (own, guest, _withdrawn, status) in enumerate(field)
    ]
    found[0] = found[0]._replace(status="", guest=False)

    def enough(mark):
        tried = [found[0]._replace(marks=more(found[0].marks, mark)), *found[1:]]
        placed = next(p for p in rank_by_class(tried) if p.entry == "0")
        return placed.place == 1 and not placed.shared_with

    assert mark_to_win(found, "0", longest=SMALL_LONGEST) == by_trying(enough)


@given(fields, st.integers(0, FEW), st.integers(0, 3))
def test_qualifying_is_as_trying_every_mark_says(field, standard, qualify):
    rules = rule_set("qualification").with_changes({"standard": standard, "qualify": qualify})
    found = [Contender(str(n), own, "", guest) for n, (own, guest, _withdrawn, _status) in enumerate(field)]
    found[0] = found[0]._replace(guest=False)

    def enough(mark):
        tried = [found[0]._replace(marks=more(found[0].marks, mark)), *found[1:]]
        return "0" in qualifiers(rank_by_class(tried), rules)

    assert mark_to_qualify(found, "0", rules, longest=SMALL_LONGEST) == by_trying(enough)


@given(st.integers(0, 50), st.integers(8, 40))
def test_in_a_whole_event_the_next_trial_does_what_was_said(seed, upto):
    """The log goes on with each mark in turn: the places that the engine then gives are the judge."""
    rules = rules_with(cuts=((3, 3),))
    lines = start_lines("a b c d e", guests="e")
    rows = played(lines, (("a", "b", "c", "d", "e"),), rules, seed=seed)[:upto]
    state = replay(lines, rows, rules)
    if not state.turns:
        return
    turn = state.turns[0].turn
    needs = needs_of(state, turn.entry, longest=LONGEST)

    def wins(mark):
        fact = Jumped(turn.entry, turn.round, Result.MARK, mark, turn.replacement)
        placed = replay(lines, [*rows, Row("next", 9999, fact)], rules).places
        return any(p.entry == turn.entry and p.place == 1 and not p.shared_with for p in placed)

    if needs.win.mark is not None:
        assert (wins(needs.win.mark), needs.win.mark > 1 and wins(needs.win.mark - 1)) == (True, False)
    elif needs.win.why_none is INSIDE:
        assert wins(1)
    else:
        assert (needs.win.why_none, turn.entry) == (NoNeed.NO_PLACE, "e")
