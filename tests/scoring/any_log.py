"""Random facts and logs for the tests of properties: anything that recording would let in, in any order."""

import dataclasses
import typing

from hypothesis import strategies as st

from scoring.facts import KINDS, Card, CutTaken, Drawn, Fact, FlightsMerged, Jumped, OrderCalled, RuleChanged, WindRead
from scoring.log import Row
from scoring.trials import Result

# `z` is on no start list.
ENTRIES = ("a", "b", "c", "d", "z")
RULE_CHANGES = (
    ("rounds", "2"), ("rounds", "6"), ("cuts", "1:2"), ("cuts", "5:2"), ("cuts", ""), ("reorder_before", "2"),
    ("standard", "500"), ("qualify", "1"), ("ties_go_on", "no"), ("rounds", "many"), ("nothing", "1"),
)  # fmt: skip


def any_value(hint, text=None, numbers=None):
    """Any value of a field's type; `text` and `numbers` narrow what texts and whole numbers are taken."""
    if typing.get_origin(hint) is tuple:
        return st.lists(any_value(typing.get_args(hint)[0], text, numbers), max_size=4).map(tuple)
    if type(None) in typing.get_args(hint):
        return st.none() | any_value(typing.get_args(hint)[0], text, numbers)
    if hint is str:
        return st.text(max_size=5) if text is None else text
    if hint is int:
        return st.integers(-99, 999) if numbers is None else numbers
    return st.booleans() if hint is bool else st.sampled_from(list(hint))


def any_fact(kind: str, text=None, numbers=None):
    cls, hints = KINDS[kind], typing.get_type_hints(KINDS[kind])
    return st.builds(cls, **{f.name: any_value(hints[f.name], text, numbers) for f in dataclasses.fields(cls)})


def _jumped() -> st.SearchStrategy[Jumped]:
    entry, round = st.sampled_from(ENTRIES), st.integers(1, 6)
    again = st.sampled_from((0, 0, 0, 1))
    marked = st.builds(
        Jumped, entry, round, st.just(Result.MARK), st.integers(480, 520), replacement=again,
        under_protest=st.booleans(),
    )  # fmt: skip
    other = st.builds(Jumped, entry, round, st.sampled_from(list(Result)[1:]), replacement=again)
    protested = st.builds(
        Jumped, entry, round, st.just(Result.FAIL), st.integers(480, 520), replacement=again,
        under_protest=st.just(True),
    )  # fmt: skip
    return st.one_of(marked, marked, other, protested)


def _lists() -> st.SearchStrategy[Fact]:
    """Decisions that list entries; recording lets nobody stand on a list twice."""
    listed = st.permutations(ENTRIES).flatmap(lambda order: st.integers(0, 5).map(lambda n: tuple(order[:n])))
    split = st.tuples(listed, st.integers(0, 5)).map(lambda pair: (pair[0][: pair[1]], pair[0][pair[1] :]))
    rounds = st.integers(1, 6)
    return st.one_of(
        st.builds(Drawn, split),
        st.builds(lambda after, two, then: CutTaken(after, two[0], then, two[1]), rounds, split, listed),
        st.builds(OrderCalled, rounds, listed, listed),
        st.builds(FlightsMerged, rounds, listed),
    )


def _any_recorded() -> st.SearchStrategy[Fact]:
    lists = {"drawn", "cut_taken", "order_called", "flights_merged"}
    others = sorted(set(KINDS) - lists - {"jumped", "wind_read", "rule_changed", "card"})
    texts, numbers = st.sampled_from(ENTRIES), st.integers(0, 7)
    return st.one_of(
        _jumped(),
        _jumped(),
        _lists(),
        st.sampled_from(others).flatmap(lambda kind: any_fact(kind, texts, numbers)),
        st.builds(WindRead, texts, st.integers(1, 6), st.none() | st.integers(-40, 40), st.sampled_from((0, 0, 1))),
        st.sampled_from(RULE_CHANGES).map(lambda change: RuleChanged(*change)),
        st.builds(Card, texts, st.sampled_from(("yellow", "red"))),
    )


RECORDED = _any_recorded()


@st.composite
def any_log(draw, most: int = 25) -> list[Row]:
    """Rows r0, r1 ... by two recorders; some supersede earlier or later ones."""
    facts = draw(st.lists(RECORDED, max_size=most))
    names = [f"r{number}" for number in range(len(facts))]
    rows = []
    for number, (name, fact) in enumerate(zip(names, facts, strict=True), 1):
        old = draw(st.lists(st.sampled_from(names), max_size=2)) if draw(st.integers(0, 4)) == 0 else []
        recorder = draw(st.sampled_from(("pit", "pit", "paper")))
        rows.append(Row(name, number, fact, tuple(o for o in old if o != name), recorder, reason="heard again"))
    return rows
