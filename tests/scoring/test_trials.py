import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.errors import NotAMark, NotATrial
from scoring.marks import Unit
from scoring.trials import (
    FAIL_REASONS,
    NOT_FAILURES,
    FailReason,
    Result,
    Series,
    Trial,
    parse_trial,
    show_series,
    show_trial,
)
from scoring.wind import NWI, Wind, WindStatus
from tests.build import series

MARK, FAIL, PASS, RETIRED, UNMEASURED = Result


# One trial


@pytest.mark.parametrize(
    ("text", "trial"),
    [
        ("5.43", Trial(MARK, 543)),
        (" 5,43 ", Trial(MARK, 543)),
        ("543", Trial(MARK, 543)),
        ("x", Trial(FAIL)),
        (" X ", Trial(FAIL)),
        ("-", Trial(PASS)),
        ("–", Trial(PASS)),
        ("—", Trial(PASS)),
        ("−", Trial(PASS)),
        ("r", Trial(RETIRED)),
        ("R", Trial(RETIRED)),
        ("o", Trial(UNMEASURED)),
        ("O", Trial(UNMEASURED)),
    ],
)
def test_the_open_notation(text, trial):
    assert parse_trial(text) == trial


def test_a_mark_in_quarter_inches():
    assert parse_trial("16-04.50", Unit.QUARTER_INCH) == Trial(MARK, 786)


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("", NotATrial), ("xx", NotATrial), ("w", NotATrial), ("foul", NotATrial), ("--", NotATrial),
        ("5.4", NotAMark), ("5.43w", NotAMark), ("5.43+1.4", NotAMark), ("x5", NotAMark),
        ("0", NotAMark), ("²", NotAMark),
    ],
)  # fmt: skip
def test_what_is_no_trial(text, error):
    with pytest.raises(error) as refused:
        parse_trial(text)
    assert type(refused.value) is error
    assert refused.value.value == text


def test_a_refusal_names_the_notation():
    with pytest.raises(NotATrial) as refused:
        parse_trial("foul")
    assert str(refused.value) == "'foul' is no trial; expected a distance, x, -, r or o"


# WA TR 8 (from memory): a trial called failed may be measured under protest and counts only if it is upheld.
@pytest.mark.parametrize(
    ("trial", "valid", "shown"),
    [
        (Trial(MARK, 543), 543, "5.43"),
        (Trial(MARK, 543, under_protest=True), None, "x"),
        (Trial(MARK, 543, under_protest=True, upheld=True), 543, "5.43"),
        (Trial(MARK, 543, upheld=True), 543, "5.43"),
        (Trial(FAIL), None, "x"),
        (Trial(FAIL, 543), None, "x"),  # the distance was read before the flag: kept, not counted
        (Trial(FAIL, 543, under_protest=True), None, "x"),
        (Trial(FAIL, 543, under_protest=True, upheld=True), 543, "5.43"),
        (Trial(FAIL, 543, upheld=True), None, "x"),
        (Trial(PASS), None, "-"),
        (Trial(PASS, under_protest=True, upheld=True), None, "-"),
        (Trial(RETIRED), None, "r"),
        (Trial(UNMEASURED), None, "o"),
    ],
)
def test_what_counts_and_what_is_shown(trial, valid, shown):
    assert (trial.valid_mark, show_trial(trial)) == (valid, shown)


def test_a_trial_is_taken_by_jumping_or_letting_the_time_run_out():
    assert {result: Trial(result).taken for result in Result} == {
        MARK: True, FAIL: True, PASS: False, RETIRED: False, UNMEASURED: True,
    }  # fmt: skip


@given(st.integers(1, 1900))
def test_a_mark_reads_back_as_it_is_shown(mark):
    assert parse_trial(show_trial(Trial(MARK, mark))) == Trial(MARK, mark)


def test_every_fail_reason_has_its_words():
    assert list(FAIL_REASONS) == list(FailReason)
    assert all(FAIL_REASONS.values())
    assert len(set(FAIL_REASONS.values())) == len(FailReason)


def test_what_is_no_failure_is_told_to_the_judge():
    assert len(NOT_FAILURES) == 8
    assert not set(NOT_FAILURES) & set(FAIL_REASONS.values())


# A series


@pytest.mark.parametrize(
    ("text", "marks", "status"),
    [
        ("5.43 x 5.12 -", (543, 512), ""),
        ("5.12 5.43 5.12", (543, 512, 512), ""),
        ("x x x", (), "NM"),
        ("x - -", (), "NM"),
        ("- - -", (), "DNS"),  # CR 25 (from memory): checked in and passed throughout
        ("", (), "DNS"),
        ("r", (), "DNS"),
        ("x r", (), "NM"),
        ("5.43 r", (543,), ""),  # the best stands and is placed
        ("o o x", (), ""),
        ("x/5.43", (), "NM"),
        ("5.43?", (), "NM"),
    ],
)
def test_marks_and_status_of_a_series(text, marks, status):
    read = series(text)
    assert (read.marks, read.best, read.status) == (marks, marks[0] if marks else None, status)


@pytest.mark.parametrize(
    ("text", "best", "best_legal"),
    [
        ("5.61+2.1 5.58+1.4", 561, 558),  # the windy mark wins, the legal one is the claim
        ("5.61+2.0 5.58+1.4", 561, 561),
        ("5.61(NWI) 5.58+1.4", 561, 558),
        ("5.61 5.58+1.4", 561, 558),  # owed
        ("5.61+2.1 x+0.1", 561, None),
        ("5.61", 561, None),
        ("x", None, None),
    ],
)
def test_best_legal(text, best, best_legal):
    read = series(text)
    assert (read.best, read.best_legal) == (best, best_legal)


def test_best_legal_by_another_limit():
    trials = (Trial(MARK, 561, Wind(15)), Trial(MARK, 558, Wind(10)))
    assert Series(trials, legal_limit_tenths=10).best_legal == 558


@pytest.mark.parametrize(
    ("statuses", "best"),
    [
        ({WindStatus.LEGAL}, 540),
        ({WindStatus.LEGAL, WindStatus.NWI}, 550),
        ({WindStatus.OWED}, 560),
        ({WindStatus.WINDY}, 570),
        (WindStatus, 570),
        ((), None),
    ],
)
def test_the_best_with_a_wind_of_some_kind(statuses, best):
    assert series("5.40+1.0 5.50(NWI) 5.60 5.70+2.1 x").best_with(statuses) == best


@pytest.mark.parametrize(
    ("text", "wind"),
    [
        ("5.43+2.5 5.43+1.0", Wind(10)),
        ("5.43+1.0 5.43+0.5", Wind(10)),  # the earlier of two alike
        ("5.43+2.5 5.43(NWI)", NWI),
        ("5.43(NWI) 5.43", NWI),
        ("5.43+2.5 5.43", None),
        ("5.43 5.44+2.5", Wind(25)),
    ],
)
def test_the_trial_that_gave_the_best(text, wind):
    assert series(text).best_trial.wind == wind


def test_without_a_valid_trial_none_gave_the_best():
    assert series("x -").best_trial is None


@given(st.lists(st.sampled_from("5.43 5.44 5.44+2.1 5.44+1.0 x - o x/5.50".split()), max_size=6))
def test_the_best_trial_has_the_best_mark(texts):
    read = series(" ".join(texts))
    assert (read.best_trial.valid_mark if read.best_trial else None) == read.best
    assert list(read.marks) == sorted(read.marks, reverse=True)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("5.43+2.3 x - r o", "5.43w(+2.3) x - r o"),
        ("5.43-0.3 5.40(NWI) 5.41", "5.43(-0.3) 5.40(NWI) 5.41"),
        ("5.430.0", "5.43(0.0)"),
        ("x+1.2 x/5.43+1.2", "x x"),  # the wind of a failed trial, and a mark under protest, are kept back
        ("", ""),
    ],
)
def test_a_series_as_officials_write_it(text, shown):
    assert show_series(series(text)) == shown


def test_a_series_in_quarter_inches():
    assert show_series(Series((Trial(MARK, 786, Wind(21)),)), Unit.QUARTER_INCH) == "16-04.50w(+2.1)"
