import pytest

from scoring.event import replay
from scoring.facts import CutTaken, Drawn, Jumped, Left, Suspended, WindRead
from scoring.rulesets import rule_set
from scoring.state import Stage
from scoring.trials import FailReason, Result, Trial
from scoring.wind import NWI, Wind
from tests import build


@pytest.mark.parametrize(
    ("text", "trial"),
    [
        ("5.43", Trial(Result.MARK, 543)),
        ("5.43+1.4", Trial(Result.MARK, 543, Wind(14))),
        ("5.43-0.3", Trial(Result.MARK, 543, Wind(-3))),
        ("5.43w(+2.3)", Trial(Result.MARK, 543, Wind(23))),
        ("5.43w", Trial(Result.MARK, 543, Wind(21))),
        ("5.43(NWI)", Trial(Result.MARK, 543, NWI)),
        ("5.43?", Trial(Result.MARK, 543, under_protest=True)),
        ("x/5.43", Trial(Result.FAIL, 543, under_protest=True)),
        ("x", Trial(Result.FAIL)),
        ("-", Trial(Result.PASS)),
        ("r", Trial(Result.RETIRED)),
        ("o", Trial(Result.NOT_MEASURED)),
    ],
)
def test_a_trial_from_its_text(text, trial):
    assert build.trial(text) == trial


def test_a_series_from_its_text():
    own = build.series("5.43w x 5.12+1.0 -")
    assert (own.marks, own.best_legal, len(own.trials)) == ((543, 512), 512, 4)


def test_a_log_from_its_text():
    rows = build.log(
        """
        drawn 31,17/4 lot 7
        31: 5.43+1.4 x
        [pit2] 31@2.1: 5.12 ~ r4 # misheard
        left 17 where=100_m
        cut_taken 3 31,17 31
        suspended yes
        jumped 4 1 x reason=line
        31: -
        """
    )
    assert [row.fact for row in rows] == [
        Drawn((("31", "17"), ("4",)), "lot", 7),
        Jumped("31", 1, Result.MARK, 543),
        WindRead("31", 1, 14),
        Jumped("31", 2, Result.FAIL),
        Jumped("31", 2, Result.MARK, 512, 1),
        Left("17", "100 m"),
        CutTaken(3, ("31", "17"), ("31",)),
        Suspended(safety=True),
        Jumped("4", 1, Result.FAIL, reason=FailReason.LINE),
        Jumped("31", 3, Result.PASS),
    ]
    assert [row.id for row in rows] == [f"r{n}" for n in range(1, 11)]
    assert (rows[4].recorder, rows[4].supersedes, rows[4].reason) == ("pit2", ("r4",), "misheard")


def test_start_lines_from_bibs():
    lines = build.start_lines("31 17", guests="17", schools={"31": "THW"}, boards_cm={"17": 900})
    assert [(line.entry, line.school, line.guest, line.board_cm) for line in lines] == [
        ("31", "THW", False, None),
        ("17", "", True, 900),
    ]


def test_a_whole_event_played():
    lines = build.start_lines("1 2 3")
    rules = rule_set("international").with_changes({"cuts": ((3, 2),)})
    rows = build.played(lines, ("12", "3"), rules)
    state = replay(lines, rows, rules)
    assert (state.stage, state.starters, len(state.cuts)) == (Stage.FINISHED, 3, 1)
    assert sum(isinstance(row.fact, Jumped) for row in rows) == 3 * 3 + 2 * 3
