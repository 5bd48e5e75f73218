"""Places, bests and winds of published competitions, found again from the trials alone."""

from collections import defaultdict
from decimal import Decimal

import pytest

from meets.management.series_file import read_table
from scoring.marks import show_mark
from scoring.rulesets import rule_set
from scoring.series_table import read_line
from scoring.settle import Settlement, settle
from scoring.wind import NWI, WindStatus, wind_status
from tests.published.competition import COMPETITIONS, words

RULES = rule_set("international")
EVERY = pytest.mark.parametrize("competition", COMPETITIONS.values(), ids=list(COMPETITIONS))

# Place -> codes, as the sources list them; every other place has one athlete.
SHARED = {
    "eic2013_lj_w_qual": {2: ["A02", "A03"]},
    "oly1964_lj_w_qual": {4: ["A04", "A05"], 6: ["A06", "A07"], 8: ["A08", "A09"]},
}
# How the sources say that equal bests were separated.
DECIDED = {
    ("cwg2022_lj_m_final", "A01"): "next best 7.98 against 7.84 (A01 before A02)",
    ("eu23_2023_lj_m_qual", "A01"): "third best 7.39 against no further mark (A01 before A02)",
    ("ec2016_lj_w_qual", "A09"): "next best 6.45 against 5.03 (A09 before A10)",
    ("eic2013_lj_w_qual", "A02"): "shared with A03",
}


def settled(competition) -> Settlement:
    return settle(read_table(competition.content)[1], RULES)


def trials(competition, row):
    """(number, trial) of every trial in the row, as `settle` reads them."""
    numbers = [number for number in range(1, 7) if row[f"t{number}"]]
    series = read_line(1, {**row, "best": ""}, RULES).series
    return list(zip(numbers, series.trials, strict=True))


def test_all_published_files_are_here():
    assert len(COMPETITIONS) == 18
    assert all(competition.remarks["source"] and competition.rows for competition in COMPETITIONS.values())


@EVERY
def test_the_places_are_the_published_ones(competition):
    doubtful = competition.codes_in("contradicts")
    found = {row.code: "" if row.place is None else str(row.place) for row in settled(competition).rows}
    published = competition.published("place")
    assert {c: p for c, p in found.items() if c not in doubtful} == {
        c: p for c, p in published.items() if c not in doubtful
    }


def test_no_place_is_left_out_as_contradicting_its_series():
    assert {name: c.codes_in("contradicts") for name, c in COMPETITIONS.items() if "contradicts" in c.remarks} == {}


@EVERY
def test_shared_places_are_the_published_ones(competition):
    holders = defaultdict(list)
    for row in settled(competition).rows:
        if row.place is not None:
            holders[row.place].append(row.code)
    assert {p: codes for p, codes in holders.items() if len(codes) > 1} == SHARED.get(competition.name, {})


@EVERY
def test_the_bests_are_the_published_ones(competition):
    found = {row.code: "" if row.best is None else show_mark(row.best) for row in settled(competition).rows}
    assert found == competition.published("best")


@EVERY
def test_those_without_a_mark_have_the_published_status(competition):
    stated = {row["code"]: "".join(words(row) & {"NM", "DNS", "DQ"}) for row in competition.rows}
    assert {row.code: row.status for row in settled(competition).rows} == stated
    # NM and DNS follow from the trials, too, without the note.
    bare = [(n, {**row, "note": ""}) for n, row in enumerate(competition.rows)]
    assert {row.code: row.status for row in settle(bare, RULES).rows} == stated


@EVERY
def test_the_list_is_in_the_published_order(competition):
    assert [row.code for row in settled(competition).rows] == [row["code"] for row in competition.rows]


@EVERY
def test_nothing_in_it_looks_wrong(competition):
    assert settled(competition).warnings == ()


@pytest.mark.parametrize(("name", "code"), DECIDED)
def test_what_decided(name, code):
    (row,) = [row for row in settled(COMPETITIONS[name]).rows if row.code == code]
    assert row.decided_by == DECIDED[name, code]


# Wind: CR 31 (number from memory), at most +2.0 m/s is legal. The flags in `note` are the sources'.


@EVERY
def test_marks_over_the_limit_are_those_that_the_source_flags(competition):
    for row in competition.rows:
        read = [(n, trial) for n, trial in trials(competition, row) if row[f"w{n}"]]
        windy = {f"w{n}" for n, trial in read if trial.mark and wind_status(trial.wind) is WindStatus.WINDY}
        assert windy == {flag for flag in words(row) if flag in {f"w{n}" for n, _ in read}}, row["code"]


@EVERY
def test_trials_without_wind_information_are_those_that_the_source_names(competition):
    for row in competition.rows:
        without = {f"NWI{n}" for n, trial in trials(competition, row) if trial.wind == NWI}
        assert without == {word for word in words(row) if word.startswith("NWI")}, row["code"]


@EVERY
def test_best_legal_is_the_best_with_a_stated_wind_up_to_two(competition):
    legal = {row["code"]: [] for row in competition.rows}
    for row in competition.rows:
        for number in range(1, 7):
            wind, mark = row[f"w{number}"], row[f"t{number}"]
            if wind and mark[:1].isdigit() and Decimal(wind) <= 2 and f"w{number}" not in words(row):
                legal[row["code"]].append(Decimal(mark))
    expected = {code: int(max(marks) * 100) if marks else None for code, marks in legal.items()}
    assert {row.code: row.best_legal for row in settled(competition).rows} == expected


def test_some_bests_and_best_legals_differ():
    """So that the comparison above means something (wjc1988_lj_m_final, wjc1994_tj_w_final)."""
    differ = {
        name: [row.code for row in settled(c).rows if row.best_legal not in (row.best, None)]
        for name, c in COMPETITIONS.items()
    }
    assert {name: codes for name, codes in differ.items() if codes} == {
        "wjc1988_lj_m_final": ["A03", "A04", "A06"],
        "wjc1994_tj_w_final": ["A01", "A02", "A05", "A06"],
    }
