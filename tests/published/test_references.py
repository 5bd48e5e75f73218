"""Ranking and cut against three others: pandas, a slow reader of the rule text, and what the explanations claim.

Marks are drawn from a few centimetres only, so that equal bests, next bests and whole series come often.
"""

from itertools import combinations_with_replacement, pairwise

import pandas
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.cut import CutLine, CutReason, propose_cut, propose_order
from scoring.explain import explain_cut, explain_place
from scoring.marks import show_mark
from scoring.places import Contender, rank, rank_by_class
from scoring.rulesets import rule_set
from tests.depth import examples
from tests.published import by_the_book
from tests.published.by_the_book import Jumper

MOST = examples(1000)
MANY = examples(300)
INTERNATIONAL = rule_set("international")
# Every series of up to six trials from three neighbouring marks, and of up to three from five.
SERIES = [
    *(marks for size in range(7) for marks in combinations_with_replacement((502, 501, 500), size)),
    *(marks for size in range(1, 4) for marks in combinations_with_replacement((504, 503, 502, 501, 500), size)),
]
SCORER, GUEST, GONE = {}, {"guest": True}, {"withdrawn": True}
# (what kind of athlete, how often)
KINDS = [
    kind
    for kind, often in (
        (SCORER, 8), (GUEST, 3), (GONE, 2), (GUEST | GONE, 1), ({"status": "DNS"}, 1), ({"status": "DQ"}, 1),
        ({"klass": "T20"}, 2), (GUEST | {"klass": "T20"}, 1),
    )
    for _ in range(often)
]  # fmt: skip


def fields_of(kinds, most: int = 14):
    jumpers = st.tuples(st.sampled_from(SERIES), st.sampled_from(kinds))
    return st.lists(jumpers, max_size=most).map(
        lambda rows: [Jumper(f"a{number}", marks, **kind) for number, (marks, kind) in enumerate(rows)]
    )


def fields():
    return fields_of(KINDS)


def contender(jumper: Jumper) -> Contender:
    return Contender(jumper.name, tuple(sorted(jumper.marks, reverse=True)), jumper.status, jumper.guest, jumper.klass)


def ranked(field: list[Jumper]):
    return rank([contender(jumper) for jumper in field])


# Places


@MOST
@given(fields())
def test_places_are_those_of_the_book(field):
    assert {p.entry: p.place for p in ranked(field)} == by_the_book.places(field)


@MANY
@given(fields())
def test_places_are_shared_as_in_the_book(field):
    assert {p.entry: set(p.shared_with) for p in ranked(field)} == {
        jumper.name: by_the_book.sharers(field, jumper.name) for jumper in field
    }


@MANY
@given(fields())
def test_the_list_is_in_order_and_holds_everybody_once(field):
    placed = ranked(field)
    by_name = {jumper.name: jumper for jumper in field}
    assert sorted(by_name) == sorted(p.entry for p in placed)
    with_mark = [by_name[p.entry].marks for p in placed if p.best is not None]
    for above, below in pairwise(with_mark):
        assert by_the_book.compare(list(above), list(below)) >= 0


@MANY
@given(fields(), st.randoms())
def test_places_do_not_depend_on_the_order_of_the_lines(field, random):
    shuffled = random.sample(field, len(field))
    assert {p.entry: p.place for p in ranked(shuffled)} == {p.entry: p.place for p in ranked(field)}


@MANY
@given(fields())
def test_classes_have_the_places_of_the_book_each_for_itself(field):
    expected = {}
    for klass in {jumper.klass for jumper in field}:
        expected |= by_the_book.places([jumper for jumper in field if jumper.klass == klass])
    assert {p.entry: p.place for p in rank_by_class([contender(j) for j in field])} == expected


@examples(150)
@given(fields_of([SCORER], most=24))
def test_places_are_the_ranks_of_pandas(field):
    """pandas sorts by best, next best ... with nothing below any mark; equal rows get the smallest rank."""
    competing = [contender(jumper) for jumper in field if jumper.marks and not jumper.status]
    frame = pandas.DataFrame(
        [(*c.marks, *[0] * (6 - len(c.marks))) for c in competing], columns=list("abcdef"), dtype="int64"
    )
    columns = [frame[name] for name in "abcdef"]
    # One comparable number for each series: pandas ranks columns, not rows.
    keys = sum(column * 1000 ** (5 - index) for index, column in enumerate(columns)) if competing else frame["a"]
    ranks = keys.rank(method="min", ascending=False).astype(int)
    expected = {c.entry: int(place) for c, place in zip(competing, ranks, strict=True)}
    assert {p.entry: p.place for p in rank(competing)} == expected


@examples(150)
@given(fields_of([SCORER], most=24))
def test_the_order_is_that_of_pandas_sorting_by_column(field):
    competing = [contender(jumper) for jumper in field if jumper.marks and not jumper.status]
    rows = [(*c.marks, *[0] * (6 - len(c.marks)), c.entry) for c in competing]
    frame = pandas.DataFrame(rows, columns=[*"abcdef", "entry"])
    ordered = frame.sort_values([*"abcdef"], ascending=False, kind="stable")
    assert [p.entry for p in rank(competing)] == list(ordered["entry"])


# What the decisions and sentences claim


@MANY
@given(fields())
def test_what_decided_a_place_is_true_of_the_numbers(field):
    by_name = {jumper.name: jumper for jumper in field}
    placed = ranked(field)
    for p in placed:
        own = sorted(by_name[p.entry].marks, reverse=True)
        for decision, sign in ((p.beat, 1), (p.lost_to, -1)):
            if decision is None:
                continue
            other = sorted(by_name[decision.other].marks, reverse=True)
            at = decision.depth - 1
            assert by_the_book.compare(own, other) == sign
            assert at >= 1
            assert own[:at] == other[:at]
            assert [decision.own, decision.theirs] == [m[at] if at < len(m) else None for m in (own, other)]
            assert decision.own != decision.theirs
            assert by_name[decision.other].has_place or p.guest


@MANY
@given(fields())
def test_a_place_with_an_equal_best_beside_it_is_explained(field):
    """Whoever has rivals with the same best above, level or below has exactly the words for them."""
    by_name = {jumper.name: jumper for jumper in field}
    for p in ranked(field):
        if p.place is None:
            continue
        own = by_name[p.entry]
        equal_best = [j for j in field if j.has_place and j != own and max(j.marks) == p.best]
        compared = [by_the_book.compare(list(own.marks), list(j.marks)) for j in equal_best]
        assert (p.beat is not None, bool(p.shared_with), p.lost_to is not None) == (
            1 in compared, 0 in compared, -1 in compared,
        )  # fmt: skip


@MANY
@given(fields())
def test_the_sentences_of_a_place_say_its_numbers(field):
    for p in ranked(field):
        says = [str(sentence) for sentence in explain_place(p, str, reason="two yellow cards")]
        if p.status:
            expected = {
                "NM": "No valid mark.",
                "DNS": "Took no trial.",
                "DQ": "Disqualified: two yellow cards.",
            }
            assert says == [expected[p.status]]
            continue
        best = show_mark(p.best)
        words = []
        for decision, verb in ((p.lost_to, "loses to"), (None, ""), (p.beat, "beats")):
            if decision is not None:
                nth = ["next", "third", "fourth", "fifth", "sixth"][decision.depth - 2]
                own, theirs = (
                    "no further mark" if mark is None else show_mark(mark) for mark in (decision.own, decision.theirs)
                )
                words.append(f"Equal best {best} with bib {decision.other}; {nth} best {own} {verb} {theirs}.")
            elif not verb and p.shared_with:
                bibs = ", ".join(f"bib {entry}" for entry in p.shared_with)
                words.append(f"Equal with {bibs} in every mark, so they share the place.")
        words = words or [f"Best {best}."]
        assert says == words + ["A guest: listed where the mark belongs, without place or points."] * p.guest


# The cut

switches = st.fixed_dictionaries(
    {name: st.booleans() for name in ("guests_hold_place", "guests_go_on", "withdrawn_replaced")}
)
cut_fields = fields()


def cut(field: list[Jumper], how_many: int, changes: dict[str, bool]):
    rules = INTERNATIONAL.with_changes({"cuts": ((3, how_many),), **changes})
    lines = [
        CutLine(j.name, tuple(sorted(j.marks, reverse=True)), number, j.status, j.guest, j.withdrawn)
        for number, j in enumerate(field)
    ]
    return lines, propose_cut(lines, 3, rules)


@MOST
@given(cut_fields, st.integers(1, 8), switches)
def test_those_who_go_on_are_those_of_the_book(field, how_many, changes):
    _, proposal = cut(field, how_many, changes)
    assert len(proposal.going_on) == len(set(proposal.going_on))
    assert set(proposal.going_on) == by_the_book.going_on(field, how_many, **changes)


@MANY
@given(cut_fields, st.integers(1, 8), switches, st.randoms())
def test_the_cut_does_not_depend_on_the_order_of_the_lines(field, how_many, changes, random):
    lines, proposal = cut(field, how_many, changes)
    rules = INTERNATIONAL.with_changes({"cuts": ((3, how_many),), **changes})
    assert propose_cut(random.sample(lines, len(lines)), 3, rules) == proposal


@MANY
@given(cut_fields, st.integers(1, 8), switches)
def test_the_reason_of_every_verdict_is_true_of_the_numbers(field, how_many, changes):
    by_name = {jumper.name: jumper for jumper in field}
    _, proposal = cut(field, how_many, changes)
    going_on = by_the_book.going_on(field, how_many, **changes)

    def holds(j: Jumper) -> bool:
        replaced = j.withdrawn and changes["withdrawn_replaced"]
        return bool(j.marks) and not j.status and not replaced and (changes["guests_hold_place"] or not j.guest)

    assert sorted(v.entry for v in proposal.verdicts) == sorted(by_name)
    for v in proposal.verdicts:
        own = by_name[v.entry]
        assert v.goes_on == (v.entry in going_on)
        if own.status or not own.marks:
            expected = {"DNS": CutReason.OUT_DNS, "DQ": CutReason.OUT_DQ, "": CutReason.OUT_NO_MARK}
            assert (v.reason, v.rank) == (expected[own.status], None)
            continue
        against = [by_the_book.compare(list(j.marks), list(own.marks)) for j in field if holds(j)]
        inside = against.count(1) < how_many
        assert v.rank == against.count(1) + 1
        assert v.reason is (
            CutReason.OUT_BY_RANK if not inside
            else CutReason.OUT_WITHDRAWN if own.withdrawn
            else (CutReason.IN_AS_GUEST if changes["guests_go_on"] else CutReason.OUT_AS_GUEST) if not holds(own)
            else CutReason.IN_BY_TIE if against.count(1) + against.count(0) > how_many
            else CutReason.IN_BY_RANK
        )  # fmt: skip


@MANY
@given(cut_fields, st.integers(1, 8), switches)
def test_what_decided_a_verdict_stands_on_the_other_side_of_the_line(field, how_many, changes):
    by_name = {jumper.name: jumper for jumper in field}
    _, proposal = cut(field, how_many, changes)
    inside = {v.entry: v.rank <= how_many for v in proposal.verdicts if v.rank is not None}
    for v in proposal.verdicts:
        own = by_name[v.entry]
        if v.decision is None:
            continue
        other = by_name[v.decision.other]
        assert inside[v.entry] != inside[other.name]
        assert max(own.marks) == max(other.marks)
        assert by_the_book.compare(list(own.marks), list(other.marks)) == (1 if inside[v.entry] else -1)
        at = v.decision.depth - 1
        pair = [sorted(j.marks, reverse=True) for j in (own, other)]
        assert pair[0][:at] == pair[1][:at]
        assert [v.decision.own, v.decision.theirs] == [m[at] if at < len(m) else None for m in pair]


@MANY
@given(cut_fields, st.integers(1, 8))
def test_the_last_in_and_the_first_out_with_an_equal_best_are_told_apart(field, how_many):
    by_name = {jumper.name: jumper for jumper in field}
    _, proposal = cut(field, how_many, {})
    ranked = [v for v in proposal.verdicts if v.rank is not None and not by_name[v.entry].guest]
    inside = [v for v in ranked if v.rank <= how_many]
    outside = [v for v in ranked if v.rank > how_many]
    if inside and outside and max(by_name[inside[-1].entry].marks) == max(by_name[outside[0].entry].marks):
        assert outside[0].decision is not None
        assert inside[-1].decision is not None


@MANY
@given(cut_fields, st.integers(1, 8), switches)
def test_the_sentence_of_a_verdict_says_in_or_out_as_it_is(field, how_many, changes):
    lines, proposal = cut(field, how_many, changes)
    own_marks = {line.entry: line.marks for line in lines}
    for v in proposal.verdicts:
        says = str(explain_cut(v, proposal, own_marks[v.entry], str))
        assert says.startswith("In") == v.goes_on
        assert says.startswith("Out") == (not v.goes_on)
        if v.decision is not None and v.reason in (CutReason.IN_BY_RANK, CutReason.OUT_BY_RANK):
            assert f"Equal best {show_mark(own_marks[v.entry][0])} with bib {v.decision.other};".lower() in says.lower()


@MANY
@given(cut_fields, st.sets(st.integers(0, 13), max_size=3))
def test_the_order_after_the_cut_is_that_of_the_book(field, protesting):
    """Under protest in draw order, then the worst first; whoever nothing separates, as drawn (WA, from memory)."""
    lines = [CutLine(j.name, tuple(sorted(j.marks, reverse=True)), n) for n, j in enumerate(field)]
    protested = [f"a{number}" for number in protesting if number < len(field)]
    order = propose_order(lines, protested, INTERNATIONAL)
    position = {entry: number for number, entry in enumerate(order)}
    assert sorted(position) == sorted(j.name for j in field)
    for n, one in enumerate(field):
        for other in field[n + 1 :]:  # drawn after `one`
            first, second = one.name in protested, other.name in protested
            not_better = by_the_book.compare(list(one.marks), list(other.marks)) <= 0
            one_before = first if first or second else not_better
            assert (position[one.name] < position[other.name]) == one_before


# The reader itself: its own examples are from the published data, so that it cannot be wrong together with `scoring`.


@pytest.mark.parametrize(
    ("one", "other", "result"),
    [
        ([798, 808], [784, 808], 1),  # cwg2022_lj_m_final: 8.08, 7.98 against 8.08, 7.84
        ([739, 745, 763], [745, 763], 1),  # eu23_2023_lj_m_qual: third best against a pass
        ([661], [661], 0),  # eic2013_lj_w_qual: place 2 shared
        ([503, 647], [645, 647], -1),  # ec2016_lj_w_qual: 6.45 against 5.03
        ([], [1], -1),
        ([], [], 0),
    ],
)
def test_the_reader(one, other, result):
    assert by_the_book.compare(one, other) == result
