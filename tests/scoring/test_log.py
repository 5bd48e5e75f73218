from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.facts import CheckedIn, Drawn, Jumped, NoGauge, Replaced, Voided, WindRead
from scoring.log import Row, Standing, Turn, agree, standing
from scoring.trials import FailReason, Result
from tests.build import log


def heads(text: str) -> dict[str, list[str]]:
    found = standing(log(text)).heads
    return {f"{t.entry}@{t.round}.{t.replacement}": [row.id for row in rows] for t, rows in found.items()}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("31: 5.43 x", {"31@1.0": ["r1"], "31@2.0": ["r2"]}),
        # A correction stands for what it names, a correction of a correction for both.
        ("31@1: 5.34\n31@1: 5.43 ~ r1 # misheard", {"31@1.0": ["r2"]}),
        ("31@1: 5.34\n31@1: 5.43 ~ r1\n31@1: 5.44 ~ r2", {"31@1.0": ["r3"]}),
        # What was corrected does not come back when the correction is voided.
        ("31@1: 5.34\n31@1: 5.43 ~ r1\nvoided 31 1 ~ r2", {}),
        # Two records of one turn: both stand until somebody names one.
        ("[pit] 31@1: 5.34\n[paper] 31@1: 5.43", {"31@1.0": ["r1", "r2"]}),
        ("[pit] 31@1: 5.34\n[paper] 31@1: 5.43\n31@1: 5.43 ~ r1 r2", {"31@1.0": ["r3"]}),
        # A replacement trial is a turn of its own.
        ("31@1: 5.34\nreplaced 31 1\n31@1.1: 5.40", {"31@1.0": ["r1"], "31@1.1": ["r3"]}),
    ],
)
def test_the_trials_that_stand(text, expected):
    assert heads(text) == expected


def test_a_voided_trial_is_kept_apart_from_a_corrected_one():
    found = standing(log("31@1: 5.34\nvoided 31 1 moved_to=13 ~ r1 # wrong bib\n17@1: 5.00\n17@1: 5.10 ~ r3"))
    assert {turn: [row.id for row in rows] for turn, rows in found.void.items()} == {Turn("31", 1): ["r1"]}
    assert found.superseded == {"r1", "r3"}


def test_winds_and_replacements_that_stand():
    found = standing(log("31@1: 5.34+1.0\nwind_read 31 1 14 ~ r2\nreplaced 31 1\nreplaced 17 1\nvoided ~ r5"))
    assert {turn: [row.fact.tenths for row in rows] for turn, rows in found.winds.items()} == {Turn("31", 1): [14]}
    assert found.replaced == {Turn("31", 1)}


def test_a_trial_that_anything_supersedes_does_not_stand_whatever_came_first():
    """A synchronised record may deliver the correction before what it corrects."""
    right = Row("b", 1, Jumped("31", 1, Result.MARK, 543), supersedes=("a",))
    wrong = Row("a", 2, Jumped("31", 1, Result.MARK, 534))
    assert [row.id for row in standing([right, wrong]).heads[Turn("31", 1)]] == ["b"]


def test_rows_of_a_kind_that_stand():
    first, second = Row("a", 1, Drawn((("x",),))), Row("b", 2, Drawn((("y",),)))
    gone = Row("c", 3, Drawn((("z",),)))
    found = standing([gone, second, first, Row("d", 4, Voided(), supersedes=("c",))])
    assert found.of(Drawn) == [(first, first.fact), (second, second.fact)]
    assert found.last(Drawn) == second.fact
    assert (found.of(CheckedIn), found.last(CheckedIn)) == ([], None)
    assert [row.id for row in found.rows] == ["a", "b", "c", "d"]


def row_of(fact, recorder="pit") -> Row:
    return Row("r", 1, fact, recorder=recorder)


@pytest.mark.parametrize(
    ("facts", "same"),
    [
        ([], True),
        ([Jumped("31", 1, Result.MARK, 543)], True),
        ([Jumped("31", 1, Result.MARK, 543), Jumped("31", 1, Result.MARK, 543)], True),
        ([Jumped("31", 1, Result.MARK, 543), Jumped("31", 1, Result.MARK, 534)], False),
        ([Jumped("31", 1, Result.FAIL), Jumped("31", 1, Result.PASS)], False),
        # Reason and board are beside the question.
        ([Jumped("31", 1, Result.FAIL), Jumped("31", 1, Result.FAIL, reason=FailReason.LINE, board_cm=200)], True),
        ([Jumped("31", 1, Result.FAIL, 543), Jumped("31", 1, Result.FAIL, 543, under_protest=True)], False),
        ([WindRead("31", 1, 14), WindRead("31", 1, 14)], True),
        ([WindRead("31", 1, 14), WindRead("31", 1, -14)], False),
        ([WindRead("31", 1, 0), WindRead("31", 1, None)], False),
    ],
)
def test_two_records_agree(facts, same):
    assert agree([row_of(fact) for fact in facts]) is same


ENTRIES = st.sampled_from(["31", "17"])
FACTS = st.one_of(
    st.builds(Jumped, ENTRIES, st.integers(1, 3), st.sampled_from(list(Result)), st.none() | st.just(500)),
    st.builds(WindRead, ENTRIES, st.integers(1, 3), st.none() | st.integers(-30, 30)),
    st.builds(Replaced, ENTRIES, st.integers(1, 3)),
    st.just(Voided()),
    st.just(NoGauge()),
)


@st.composite
def logs(draw) -> list[Row]:
    facts = draw(st.lists(FACTS, max_size=12))
    names = [f"r{number}" for number in range(len(facts))]
    return [
        Row(name, number, fact, tuple(draw(st.lists(st.sampled_from(names), max_size=2))))
        for number, (name, fact) in enumerate(zip(names, facts, strict=True))
    ]


def plainly(found: Standing) -> tuple:
    return (
        found.rows,
        found.superseded,
        {kind: rows for kind, rows in found.live.items() if rows},
        dict(found.heads),
        dict(found.winds),
        dict(found.void),
        found.replaced,
    )


def test_a_correction_is_followed_to_the_first_row_without_reading_the_log_again():
    """A long chain of corrections, and rows that name rows which are not there or one another."""
    rows = [Row("r0", 0, Jumped("1", 1, Result.FAIL))]
    rows += [Row(f"r{n}", n, Jumped("1", 1, Result.FAIL), (f"r{n - 1}", "gone")) for n in range(1, 50)]
    found = standing([*rows, Row("x", 60, Voided(), ("y",)), Row("y", 61, Voided(), ("x",))])
    assert found.by_id == {row.id: row for row in found.rows}
    assert [found.first(row).id for row in found.rows] == ["r0"] * 50 + ["x", "x"]
    found.rows = ()
    assert found.first_rev(rows[-1]) == 0


@given(logs(), st.randoms())
def test_the_order_of_delivery_does_not_matter(rows, random):
    assert plainly(standing(random.sample(rows, len(rows)))) == plainly(standing(rows))


@given(logs())
def test_every_row_stands_or_is_superseded(rows):
    found = standing(rows)
    live = {row.id for kind in found.live.values() for row in kind}
    assert live | (found.superseded & {row.id for row in rows}) == {row.id for row in rows}
    assert not live & found.superseded
    in_heads = {row.id for turn in found.heads.values() for row in turn}
    assert in_heads == {row.id for row in rows if row.id in live and isinstance(row.fact, Jumped)}


@pytest.mark.parametrize("order", list(permutations(range(4))), ids=str)
def test_which_of_several_records_is_shown_does_not_depend_on_which_came_first(order):
    """Phones without signal deliver in any order: the pit's own record leads, then the second, then by name."""
    said = [("d", "paper sheet", 501), ("a", "second recorder", 502), ("c", "pit", 503), ("b", "pit", 504)]
    trials, winds = [], []
    for rev, place in enumerate(order, 1):
        name, recorder, mark = said[place]
        trials.append(Row(name, rev, Jumped("31", 1, Result.MARK, mark), recorder=recorder))
        winds.append(Row(f"w{name}", rev + 10, WindRead("31", 1, mark - 500), recorder=recorder))
    log = standing([*trials, *winds])
    turn = Turn("31", 1)
    assert [row.id for row in log.heads[turn]] == ["b", "c", "a", "d"]
    assert [row.id for row in log.winds[turn]] == ["wb", "wc", "wa", "wd"]
