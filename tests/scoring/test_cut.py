import pytest

from scoring.cut import (
    CutLine,
    CutReason,
    CutVerdict,
    TrialsProposal,
    propose_cut,
    propose_order,
    propose_trials,
    qualifiers,
)
from scoring.places import Contender, Decision, rank
from scoring.rulesets import RuleSet, rule_set

INTERNATIONAL = rule_set("international")
TO_THREE = INTERNATIONAL.with_changes({"cuts": ((3, 3),)})
IN, TIE, GUEST = CutReason.IN_BY_RANK, CutReason.IN_BY_TIE, CutReason.IN_AS_GUEST
OUT, GONE = CutReason.OUT_BY_RANK, CutReason.OUT_WITHDRAWN


def field(*entries: tuple) -> list[CutLine]:
    """Lines in draw order from (entry, marks) or (entry, marks, {more})."""
    return [
        CutLine(entry, marks, draw, **(more[0] if more else {}))
        for draw, (entry, marks, *more) in enumerate(entries, 1)
    ]


def judged(lines: list[CutLine], rules: RuleSet = TO_THREE) -> dict[str, CutReason]:
    return {verdict.entry: verdict.reason for verdict in propose_cut(lines, 3, rules).verdicts}


def test_more_than_eight_starters_make_a_cut():
    assert propose_trials(9, INTERNATIONAL) == TrialsProposal(9, 8, 6, with_cut=True)
    assert propose_trials(8, INTERNATIONAL) == TrialsProposal(8, 8, 6, with_cut=False)
    assert propose_trials(30, rule_set("three-only")) is None


def test_a_rule_set_without_a_cut_there_has_none_to_propose():
    with pytest.raises(KeyError):
        propose_cut([], 2, INTERNATIONAL)


@pytest.mark.parametrize(
    ("lines", "changes", "reasons"),
    [
        # The best three of four.
        (
            field(("a", (500,)), ("b", (503,)), ("c", (502,)), ("d", (501,))),
            {},
            {"b": IN, "c": IN, "d": IN, "a": OUT},
        ),
        # Fully equal for the last place: all of them go on, for one reason; nobody after them (WA, IAAF reports).
        (
            field(("a", (500,)), ("b", (503,)), ("c", (502,)), ("d", (500,)), ("e", (499,))),
            {},
            {"b": IN, "c": IN, "a": TIE, "d": TIE, "e": OUT},
        ),
        # A tie that fits is no tie at the cut.
        (
            field(("a", (500,)), ("b", (503,)), ("c", (500,)), ("d", (499,))),
            {},
            {"b": IN, "a": IN, "c": IN, "d": OUT},
        ),
        # The next best separates for the last place.
        (
            field(("a", (500, 490)), ("b", (503,)), ("c", (502,)), ("d", (500, 495))),
            {},
            {"b": IN, "c": IN, "d": IN, "a": OUT},
        ),
        # Where ties do not go on, the draw decides, whatever order the lines come in.
        (
            field(("a", (500,)), ("b", (503,)), ("c", (502,)), ("d", (500,)))[::-1],
            {"ties_go_on": False},
            {"b": IN, "c": IN, "a": IN, "d": CutReason.OUT_BY_DRAW},
        ),
        # Fewer with a mark than places: only they go on (from memory).
        (
            field(("a", ()), ("b", (503,)), ("c", (502,)), ("d", ())),
            {},
            {"b": IN, "c": IN, "a": CutReason.OUT_NO_MARK, "d": CutReason.OUT_NO_MARK},
        ),
        # Filled up by the draw where the rule set says so, but never with a guest or somebody who is gone.
        (
            field(
                ("g", (), {"guest": True}), ("w", (), {"withdrawn": True}), ("a", ()), ("b", (503,)), ("c", (502,)),
                ("d", ()), ("h", (501,), {"guest": True}), ("s", (), {"status": "DNS"}),
            ),
            {"cut_needs_mark": False},
            {
                "b": IN, "c": IN, "h": GUEST, "g": CutReason.OUT_NO_MARK, "w": CutReason.OUT_NO_MARK, "a": IN,
                "d": CutReason.OUT_NO_MARK, "s": CutReason.OUT_DNS,
            },
        ),
        # DNS and DQ are out, and a DQ holds no place.
        (
            field(
                ("q", (600,), {"status": "DQ"}), ("a", (503,)), ("b", (502,)), ("c", (501,)),
                ("s", (), {"status": "DNS"}),
            ),
            {},
            {"a": IN, "b": IN, "c": IN, "s": CutReason.OUT_DNS, "q": CutReason.OUT_DQ},
        ),
        # Somebody who withdraws inside the cut holds the place: the fourth is not called (common practice).
        (
            field(("a", (503,), {"withdrawn": True}), ("b", (502,)), ("c", (501,)), ("d", (500,))),
            {},
            {"a": GONE, "b": IN, "c": IN, "d": OUT},
        ),
        (
            field(("a", (503,), {"withdrawn": True}), ("b", (502,)), ("c", (501,)), ("d", (500,))),
            {"withdrawn_replaced": True},
            {"a": GONE, "b": IN, "c": IN, "d": IN},
        ),
        # Outside the cut the rank is the reason, gone or not.
        (
            field(("a", (503,)), ("b", (502,)), ("c", (501,)), ("d", (500,), {"withdrawn": True})),
            {},
            {"a": IN, "b": IN, "c": IN, "d": OUT},
        ),
        # A withdrawn athlete tied for the last place holds it together with the other, who goes on.
        (
            field(("a", (503,)), ("b", (502,)), ("c", (500,), {"withdrawn": True}), ("d", (500,))),
            {},
            {"a": IN, "b": IN, "c": GONE, "d": TIE},
        ),
        # Guests (local custom): an extra inside the cut by default, and nobody is pushed out.
        (
            field(("g", (600,), {"guest": True}), ("a", (503,)), ("b", (502,)), ("c", (501,)), ("d", (500,))),
            {},
            {"g": GUEST, "a": IN, "b": IN, "c": IN, "d": OUT},
        ),
        (
            field(("g", (600,), {"guest": True}), ("a", (503,)), ("b", (502,)), ("c", (501,)), ("d", (500,))),
            {"guests_go_on": False},
            {"g": CutReason.OUT_AS_GUEST, "a": IN, "b": IN, "c": IN, "d": OUT},
        ),
        (
            field(("g", (600,), {"guest": True}), ("a", (503,)), ("b", (502,)), ("c", (501,)), ("d", (500,))),
            {"guests_hold_place": True},
            {"g": IN, "a": IN, "b": IN, "c": OUT, "d": OUT},
        ),
        # A guest level with the last one in is inside; a centimetre less is not. Neither makes it a tie.
        (
            field(("a", (503,)), ("b", (502,)), ("c", (501,)), ("g", (501,), {"guest": True}), ("d", (500,))),
            {},
            {"a": IN, "b": IN, "c": IN, "g": GUEST, "d": OUT},
        ),
        (
            field(
                ("g", (501,), {"guest": True}), ("a", (503,)), ("b", (502,)), ("c", (501,)),
                ("h", (500,), {"guest": True}),
            ),
            {},
            {"a": IN, "b": IN, "g": GUEST, "c": IN, "h": OUT},
        ),
        (
            field(("a", (503,)), ("b", (502,)), ("c", (501,)), ("g", (500,), {"guest": True})),
            {"guests_go_on": False},
            {"a": IN, "b": IN, "c": IN, "g": OUT},
        ),
        # A guest who holds a place ties for it like anybody.
        (
            field(("a", (503,)), ("b", (502,)), ("c", (501,)), ("g", (501,), {"guest": True}), ("d", (500,))),
            {"guests_hold_place": True},
            {"a": IN, "b": IN, "c": TIE, "g": TIE, "d": OUT},
        ),
    ],
)  # fmt: skip
def test_in_or_out(lines, changes, reasons):
    assert judged(lines, TO_THREE.with_changes(changes)) == reasons


def test_the_proposal_lists_those_who_go_on_best_first():
    lines = field(("a", (503,), {"withdrawn": True}), ("g", (502,), {"guest": True}), ("b", (501,)), ("c", (600,)))
    proposal = propose_cut(lines, 3, TO_THREE)
    assert (proposal.after_round, proposal.how_many, proposal.going_on, proposal.under_protest) == (
        3, 3, ("c", "g", "b"), (),
    )  # fmt: skip


def test_a_verdict_has_the_rank_among_those_who_hold_places():
    lines = field(("g", (600,), {"guest": True}), ("a", (503,)), ("b", (503,)), ("c", (501,)), ("d", (500,)), ("e", ()))
    assert [(v.entry, v.rank) for v in propose_cut(lines, 3, TO_THREE).verdicts] == [
        ("g", 1), ("a", 1), ("b", 1), ("c", 3), ("d", 4), ("e", None),
    ]  # fmt: skip


def test_the_decision_is_against_the_other_side_of_the_cut():
    """Three equal bests at the cut, as in a published final of 2016 (wic2016_lj_m_final)."""
    lines = field(
        ("a", (826,)), ("b", (825,)), ("h", (788, 785, 782)), ("i", (788, 773, 773)), ("j", (788,)), ("k", (740,)),
    )  # fmt: skip
    assert propose_cut(lines, 3, TO_THREE).verdicts == (
        CutVerdict("a", True, IN, 1),
        CutVerdict("b", True, IN, 2),
        CutVerdict("h", True, IN, 3, Decision("i", 2, 785, 773)),
        CutVerdict("i", False, OUT, 4, Decision("h", 2, 773, 785)),
        CutVerdict("j", False, OUT, 5, Decision("h", 2, None, 785)),
        CutVerdict("k", False, OUT, 6),
    )


def test_a_decision_inside_the_cut_is_none_of_the_cut():
    lines = field(("a", (503, 490)), ("b", (503, 480)), ("c", (502,)), ("d", (500, 499)), ("e", (500, 498)))
    assert [verdict.decision for verdict in propose_cut(lines, 3, TO_THREE).verdicts] == [None] * 5


UNDER_PROTEST = CutReason.IN_UNDER_PROTEST


@pytest.mark.parametrize(
    ("if_upheld", "more", "going_on", "under_protest"),
    [
        ((502,), {}, ("b", "c", "d"), ("a",)),
        ((500, 490), {}, ("b", "c", "d"), ()),  # out by the next best even if upheld
        ((501, 499), {}, ("b", "c", "d"), ("a",)),  # level with the last one: the tie would go on
        (None, {}, ("b", "c", "d"), ()),
        ((502,), {"withdrawn": True}, ("b", "c", "d"), ()),
        ((502,), {"guest": True}, ("b", "c", "d"), ("a",)),
    ],
)
def test_under_protest_is_an_extra_and_nobody_drops_out(if_upheld, more, going_on, under_protest):
    lines = field(("a", (499,), {"if_upheld": if_upheld, **more}), ("b", (503,)), ("c", (502,)), ("d", (501, 499)))
    proposal = propose_cut(lines, 3, TO_THREE)
    assert (proposal.going_on, proposal.under_protest) == (going_on, under_protest)
    assert {v.entry for v in proposal.verdicts if v.reason is UNDER_PROTEST} == set(under_protest)


def test_a_protester_who_is_in_anyway_goes_on_like_anybody():
    lines = field(("a", (502,), {"if_upheld": (510,)}), ("b", (503,)))
    assert propose_cut(lines, 3, TO_THREE).going_on == ("b", "a")


def test_a_protester_without_any_mark_goes_on_under_protest():
    lines = field(*((entry, (500,)) for entry in "bcd"), ("a", (), {"if_upheld": (501,)}))
    assert propose_cut(lines, 3, TO_THREE).under_protest == ("a",)


def test_protesters_are_in_draw_order():
    lines = field(
        ("a", (), {"if_upheld": (510,)}), ("b", (503,)), ("c", (502,)), ("d", (501,)), ("e", (), {"if_upheld": (520,)})
    )
    assert propose_cut(lines[::-1], 3, TO_THREE).under_protest == ("a", "e")


@pytest.mark.parametrize(
    ("how", "order"),
    [
        # Under protest first, in draw order; then without a mark, in draw order; then the best last, ties as drawn.
        ("reverse ranking", ("p", "q", "n", "m", "d", "b", "e", "c", "a")),
        ("as drawn", ("p", "q", "n", "a", "b", "c", "d", "e", "m")),
    ],
)
def test_the_order_after_the_cut(how, order):
    lines = field(
        ("p", (600,)), ("q", ()), ("n", ()), ("a", (520,)), ("b", (510, 500)), ("c", (510, 501)), ("d", (500,)),
        ("e", (510, 500)), ("m", ()),
    )  # fmt: skip
    rules = INTERNATIONAL.with_changes({"order_after_cut": how})
    assert propose_order(lines[::-1], ("q", "p"), rules) == order


QUALIFICATION = rule_set("qualification").with_changes({"standard": 770, "qualify": 3})


@pytest.mark.parametrize(
    ("marks", "qualified"),
    [
        ({"a": 801, "b": 770, "c": 769, "d": 760}, {"a": "Q", "b": "Q", "c": "q"}),
        # Fully equal for the last place: all of them.
        ({"a": 801, "b": 770, "c": 769, "d": 769, "e": 760}, {"a": "Q", "b": "Q", "c": "q", "d": "q"}),
        # More by the standard than places: all of them, and nobody fills up.
        ({"a": 801, "b": 790, "c": 780, "d": 770, "e": 769}, dict.fromkeys("abcd", "Q")),
        ({"a": 700}, {"a": "q"}),
    ],
)
def test_qualifiers(marks, qualified):
    placed = rank([Contender(entry, (mark,)) for entry, mark in marks.items()])
    assert qualifiers(placed, QUALIFICATION) == qualified


def test_guests_and_those_without_a_mark_do_not_qualify():
    placed = rank(
        [Contender("g", (800,), guest=True), Contender("a", (700,)), Contender("n", ()), Contender("q", (1,), "DQ")]
    )
    assert qualifiers(placed, QUALIFICATION) == {"a": "q"}


def test_without_a_standard_all_fill_up():
    placed = rank([Contender("a", (800,)), Contender("b", (700,))])
    assert qualifiers(placed, QUALIFICATION.with_changes({"standard": 0, "qualify": 1})) == {"a": "q"}
