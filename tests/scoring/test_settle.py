import pytest

from scoring.rulesets import rule_set
from scoring.series_table import NotATable
from scoring.settle import MOST_WARNINGS, Settled, settle

RULES = rule_set("international")


def table(*rows: dict[str, str]):
    return [(number, {"code": "", "t1": "", **row}) for number, row in enumerate(rows, 2)]


def test_everybody_is_listed_best_first_then_without_a_place():
    settled = settle(
        table(
            {"code": "S", "note": "DNS"},
            {"code": "Q", "t1": "8.50", "w1": "+0.1", "note": "DQ"},
            {"code": "N", "t1": "x"},
            {"code": "O", "t1": "o"},
            {"code": "B", "t1": "8.08", "t2": "7.84", "group": "B"},
            {"code": "A", "t1": "7.98", "t2": "8.08", "w1": "+2.0", "w2": "+2.1", "group": "A", "place": "9"},
        ),
        RULES,
    )
    between = "next best 7.98 against 7.84 (A before B)"
    assert settled.rows == (
        Settled("A", 1, 808, 798, "", between),
        Settled("B", 2, 808, None, "", between),
        Settled("N", None, None, None, "NM", "no valid mark"),
        Settled("O", None, None, None, "", "nothing measured"),
        Settled("S", None, None, None, "DNS", "did not start"),
        Settled("Q", None, None, None, "DQ", "disqualified"),
    )
    assert settled.warnings == ()


def test_shared_places_and_what_stands_beside_them():
    rows = settle(
        table(
            {"code": "A", "t1": "6.61", "t2": "6.50"},
            {"code": "B", "t1": "6.61"},
            {"code": "C", "t1": "x", "t2": "6.61"},
            {"code": "D", "t1": "6.40"},
        ),
        RULES,
    ).rows
    lost = "next best 6.50 against no further mark (A before B)"
    assert [(row.place, row.decided_by) for row in rows] == [
        (1, lost),
        (2, f"{lost}; shared with C"),
        (2, f"{lost.replace('before B', 'before C')}; shared with B"),
        (4, "best"),
    ]


def test_a_crowd_on_one_place_is_counted():
    crowd = [{"code": f"A{n}", "t1": "5.00"} for n in range(14)]
    assert {row.decided_by for row in settle(table(*crowd), RULES).rows} == {"shared with 13 others"}
    rows = settle(table({"code": "B", "t1": "5.00", "t2": "4.00"}, *crowd), RULES).rows
    assert rows[1].decided_by == "next best 4.00 against no further mark (B before A0); shared with 13 others"


def test_a_code_stands_once():
    with pytest.raises(NotATable) as refused:
        settle(table({"code": "A", "t1": "5.00"}, {"code": "B"}, {"code": "A"}), RULES)
    assert str(refused.value) == "line 4, column code: 'A' cannot be settled; expected a code that line 2 does not have"


def test_the_wind_limit_is_the_rule_sets():
    strict = RULES.with_changes({"wind_limit_tenths": 10})
    (row,) = settle(table({"code": "A", "t1": "5.00", "w1": "+1.1"}), strict).rows
    assert row.best_legal is None


def test_warnings_come_in_the_order_of_the_lines():
    settled = settle(
        table({"code": "A", "t1": "5.00", "best": "5.10"}, {"code": "B", "t1": "5.20", "best": "5.30"}), RULES
    )
    assert settled.warnings == (
        "line 2, column best: 5.10 is stated, but the trials give 5.00",
        "line 3, column best: 5.30 is stated, but the trials give 5.20",
    )


def test_a_table_wrong_throughout_is_not_repeated_whole():
    wrong = [{"code": f"A{n}", "t1": "5.00", "best": "5.10"} for n in range(MOST_WARNINGS + 3)]
    settled = settle(table(*wrong), RULES)
    assert (len(settled.warnings), settled.unsaid) == (MOST_WARNINGS, 3)
    assert len(settled.rows) == MOST_WARNINGS + 3
