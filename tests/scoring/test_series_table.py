import pytest

from scoring.errors import NotAMark, NotATrial, NotAWind, RuleError
from scoring.rulesets import rule_set
from scoring.series_table import NotATable, columns, read_line, unknown_columns
from scoring.trials import Result
from scoring.wind import NWI, Wind

RULES = rule_set("international")


def line(**cells: str):
    return read_line(7, {"code": "A01", **cells}, RULES)


def test_headings_are_tidied():
    assert columns([" Code ", "T1", "W1", "", ""]) == ("code", "t1", "w1", "", "")


@pytest.mark.parametrize(
    ("names", "says"),
    [
        (
            ["code", "t1", "T1"],
            "line 3, column t1: 't1' cannot be settled; expected every column once, this one is there 2 times",
        ),
        (["code", "t2"], "line 3, column t1: 'code, t2' cannot be settled; expected a heading with a column t1"),
        (["t1", "name"], "line 3, column code: 't1, name' cannot be settled; expected a heading with a column code"),
        ([], "line 3, column code: '' cannot be settled; expected a heading with a column code"),
    ],
)
def test_a_heading_that_cannot_be_read(names, says):
    with pytest.raises(NotATable) as refused:
        columns(names, 3)
    assert str(refused.value) == says


def test_columns_that_mean_nothing_are_named():
    names = ("code", "group", "place", "best", "note", "t1", "t12", "w3", "t0", "t100", "x1", "coach", "")
    assert unknown_columns(names) == ("t0", "t100", "x1", "coach")


@pytest.mark.parametrize(
    ("text", "result", "mark"),
    [
        ("7.94", Result.MARK, 794),
        (" 7,94 ", Result.MARK, 794),
        ("794", Result.MARK, 794),
        ("7.94w", Result.MARK, 794),
        ("7.94 W", Result.MARK, 794),
        ("x", Result.FAIL, None),
        ("X", Result.FAIL, None),
        ("-", Result.PASS, None),
        ("–", Result.PASS, None),
        ("r", Result.RETIRED, None),
        ("R", Result.RETIRED, None),
        ("o", Result.NOT_MEASURED, None),
        ("19.00", Result.MARK, 1900),
    ],
)
def test_a_trial(text, result, mark):
    read = line(t1=text)
    assert [(trial.result, trial.mark) for trial in read.series.trials] == [(result, mark)]
    assert read.warnings == ()


def test_trials_are_in_the_order_of_their_numbers_and_empty_cells_are_none():
    read = line(t10="5.10", t2="5.02", t1=" ", t3="x")
    assert [trial.mark for trial in read.series.trials] == [502, None, 510]


@pytest.mark.parametrize(
    ("cells", "error", "says"),
    [
        ({"t1": "5.4"}, NotAMark, "column t1: '5.4' is no distance; expected two decimals, for example 5.40"),
        ({"t3": "5.439"}, NotAMark, "column t3: '5.439' is no distance; expected two decimals, for example 5.40"),
        ({"t1": "foul"}, NotATrial, "column t1: 'foul' is no trial; expected a distance, x, -, r or o"),
        ({"t1": "w"}, NotATrial, "column t1: 'w' is no trial; expected a distance, x, -, r or o"),
        ({"t1": "xw"}, NotATrial, "column t1: 'xw' is no trial; expected a distance, x, -, r or o"),
        (
            {"t1": "5.4w"}, NotAMark,
            "column t1: '5.4w' is no distance; expected two decimals, for example 5.40",
        ),
        ({"t1": "19.01"}, NotATable, "column t1: '19.01' cannot be settled; expected at most 19.00 m"),
        (
            {"t1": "0.00"}, NotAMark,
            "column t1: '0.00' is no distance; expected a distance above zero and under 100 metres",
        ),
        (
            {"w2": "2"}, NotAWind,
            "column w2: '2' is no wind reading; expected one decimal with its sign, for example +1.4, or NWI",
        ),
        ({"w1": "+20.1"}, NotAWind, "column w1: '+20.1' is no wind reading; expected between -20.0 and +20.0 m/s"),
        ({"code": " "}, NotATable, "column code: '' cannot be settled; expected a code for every athlete"),
        (
            {"code": "A" * 101},
            NotATable,
            f"column code: '{'A' * 78}… cannot be settled; expected a code of at most 100 characters",
        ),
    ],
)  # fmt: skip
def test_a_cell_that_cannot_be_read(cells, error, says):
    with pytest.raises(RuleError) as refused:
        line(**{"t1": "5.00", "t2": "", **cells})
    assert type(refused.value) is error
    assert str(refused.value) == f"line 7, {says}"


@pytest.mark.parametrize(
    ("cells", "wind"),
    [
        ({"w1": "+0.5"}, Wind(5)),
        ({"w1": "-1.1"}, Wind(-11)),
        ({"w1": "0.0"}, Wind(0)),
        ({"w1": "0,3"}, Wind(3)),
        ({"w1": "nwi"}, NWI),
        ({"w1": "+2.1"}, Wind(21)),
        ({"w1": "+2.1", "note": "w1"}, Wind(21)),
        ({"w1": ""}, None),
        ({}, None),
        ({"note": "q NWI1"}, NWI),
        ({"note": "nwi1,w2"}, NWI),
        ({"note": "w1"}, None),
        ({"w1": "NWI", "note": "NWI1"}, NWI),
    ],
)
def test_the_wind_of_a_trial(cells, wind):
    read = line(t1="7.94", t2="7.90", **cells)
    assert read.series.trials[0].wind == wind
    assert read.warnings == ()


@pytest.mark.parametrize(
    ("cells", "best_legal"),
    [
        ({"t1": "7.94", "w1": "+2.0"}, 794),
        ({"t1": "7.94", "w1": "+2.1"}, None),
        ({"t1": "7.94"}, None),  # nobody has said the wind
        ({"t1": "7.94", "note": "w1"}, None),
        ({"t1": "7.94w"}, None),
        ({"t1": "7.94 W", "w1": ""}, None),
        ({"t1": "7.94", "w1": "w"}, None),  # over the limit, nobody says by how much
        ({"t1": "7.94", "w1": "W", "t2": "7.90", "w2": "1,4"}, 790),
        ({"t1": "7.94", "w1": "NWI", "t2": "7.90", "w2": "2.0"}, 790),
        ({"t1": "7.94", "note": "NWI1"}, None),
        ({"t1": "7.94", "t2": "7.90", "w2": "-0.3"}, 790),
        ({"t1": "x", "w1": "+0.1", "t2": "7.90"}, None),
    ],
)
def test_best_legal_counts_stated_legal_winds_only(cells, best_legal):
    assert line(**cells).series.best_legal == best_legal


@pytest.mark.parametrize(
    ("cells", "status"),
    [
        ({"t1": "7.94"}, ""),
        ({"t1": "x", "t2": "-"}, "NM"),
        ({"t1": ""}, "DNS"),
        ({"t1": "-", "t2": "-"}, "DNS"),  # checked in and passed throughout (CR 25, from memory)
        ({"t1": "o", "t2": "x"}, ""),
        ({"t1": "", "note": "DNS"}, "DNS"),
        ({"t1": "x", "note": "DNS"}, "DNS"),
        ({"t1": "7.94", "note": "dq"}, "DQ"),
        ({"t1": "7.94", "note": "DSQ, shoes"}, "DQ"),
        ({"t1": "", "note": "DNS DQ"}, "DQ"),
        ({"t1": "", "note": "NM"}, "NM"),  # failed trials that the source does not show
        ({"t1": "7.94", "note": "q w3 NWI5"}, ""),
        ({"t1": "7.94", "note": "best NMs of the day"}, ""),
        ({"t1": "", "note": "(DNS)"}, "DNS"),
        ({"t1": "7.94", "note": "DQ: a shoe"}, "DQ"),
        ({"t1": "x", "t2": "r"}, "NM"),
        ({"t1": "f", "t2": "F"}, "NM"),
        ({"t1": "p"}, "DNS"),
    ],
)
def test_the_status(cells, status):
    assert line(**{"t3": "", "t5": "", **cells}).status == status


@pytest.mark.parametrize(
    ("cells", "warnings"),
    [
        ({"t1": "7.94", "best": "7.94"}, ()),
        ({"t1": "7.94", "best": "7.94w"}, ()),
        ({"t1": "7.94", "best": "7,94 "}, ()),
        ({"t1": "x", "best": "NM"}, ()),
        ({"t1": "", "best": "7.94", "note": "DQ"}, ()),
        ({"t1": "7.94", "best": "7.49"}, ("column best: 7.49 is stated, but the trials give 7.94",)),
        ({"t1": "7.94", "best": "7.9"}, ("column best: 7.9 is stated, but the trials give 7.94",)),
        ({"t1": "x", "best": "7.94"}, ("column best: 7.94 is stated, but the trials give no mark",)),
        ({"t1": "7.94", "note": "NM"}, ("column note: NM is stated, but the trials give 7.94",)),
        ({"t1": "7.94", "note": "DNS"}, ("column note: DNS is stated, but the trials give 7.94",)),
        ({"t1": "", "w1": "+0.1"}, ("column w1: a wind without a trial",)),
        ({"t1": "7.94", "w2": "+0.1"}, ("column w2: a wind, but there is no column t2",)),
        ({"t1": "7.94", "w2": ""}, ()),
        ({"t1": "7.94", "note": "w2"}, ("column note: speaks of trial 2, but there is no column t2",)),
        (
            {"t1": "7.94", "w1": "+0.4", "note": "w1"},
            ("column w1: +0.4 is legal, but the trial is flagged windy; taken as windy",),
        ),
        (
            {"t1": "7.94", "w1": "+0.4", "note": "NWI1"},
            ("column w1: +0.4 is stated, but the note says NWI; it is taken as NWI",),
        ),
        (
            {"t1": "7.94", "t2": "r", "t3": "-", "t4": "8.00"},
            ("column t4: a trial after the r in column t2; it is counted",),
        ),
        ({"t1": "7.94", "t2": "r", "t3": "r"}, ()),
    ],
)
def test_what_looks_wrong_is_said_and_stands(cells, warnings):
    assert line(**cells).warnings == tuple(f"line 7, {warning}" for warning in warnings)


def test_a_doubted_wind_is_not_legal():
    assert line(t1="7.94", w1="+0.4", note="w1").series.best_legal is None
    assert line(t1="7.94", w1="+0.4", note="NWI1").series.best_legal is None


def test_a_code_is_one_line_of_text():
    assert line(code="  A \n 01 ", t1="5.00").code == "A 01"


@pytest.mark.parametrize(
    ("text", "result"),
    [
        ("x", Result.FAIL), ("X", Result.FAIL), (" x ", Result.FAIL), ("f", Result.FAIL), ("F", Result.FAIL),
        ("×", Result.FAIL), ("\N{CYRILLIC CAPITAL LETTER HA}", Result.FAIL),
        ("-", Result.PASS), ("–", Result.PASS), ("−", Result.PASS), ("p", Result.PASS), ("P", Result.PASS),
        ("r", Result.RETIRED), ("R", Result.RETIRED), ("o", Result.NOT_MEASURED), ("O", Result.NOT_MEASURED),
        ("5.43", Result.MARK), ("5,43", Result.MARK), ("5m43", Result.MARK), ("543", Result.MARK),
    ],
)  # fmt: skip
def test_what_people_write_for_a_trial(text, result):
    trial = line(t1=text).series.trials[0]
    assert (trial.result, trial.mark) == (result, 543 if result is Result.MARK else None)


@pytest.mark.parametrize(
    "text", ["xx", "xxx", "fp", "pass", "DNS", "NM", "NWI", "w", "xw", "?", "n/a", "0", "0.00", "-5.43", "5.4", "5.434"]
)
def test_what_is_no_trial(text):
    with pytest.raises(RuleError) as refused:
        line(t1=text)
    assert (refused.value.value, refused.value.where) == (text, "line 7, column t1")
