"""Read the lines of a typed-up series table: cells by column in, trials with their winds out.

Columns: `code`, `t1`, `t2` ... trials in metres or the open notation, `w1`, `w2` ... winds, `note`, and `best` and
`place` as somebody stated them, which decide nothing. In a note, `DNS`, `DQ` and `NM` are a status, `w3` says that
the source flags trial 3 as windy, `NWI3` that it has no wind information.
"""

from __future__ import annotations

import dataclasses
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from scoring.errors import RuleError
from scoring.marks import parse_mark, show_mark
from scoring.rulesets import RuleSet
from scoring.trials import Result, Series, Trial, parse_trial
from scoring.wind import NWI, Wind, WindStatus, parse_wind, show_wind, wind_status

NAMES = ("code", "group", "place", "best", "note")
NUMBERED = re.compile(r"([tw])([1-9][0-9]?)")
FLAG = re.compile(r"(W|NWI)([1-9][0-9]?)")
LONGEST_CODE = 100  # a code is repeated beside everybody it was compared with
BETWEEN_WORDS = re.compile(r"[\s,;]+")
# What other sheets write for a failed trial and a pass (common practice); the multiplication sign and the Cyrillic
# letter come along from web pages.
OTHER_SIGNS = {"f": "x", "p": "-", "\N{MULTIPLICATION SIGN}": "x", "\N{CYRILLIC SMALL LETTER HA}": "x"}
AROUND_WORDS = "().:"
STATUS_WORDS = {"DQ": "DQ", "DSQ": "DQ", "DNS": "DNS", "NM": "NM"}


class NotATable(RuleError):
    """A series table that cannot be settled as it stands."""

    says = "cannot be settled"


@dataclass(frozen=True, slots=True)
class SeriesLine:
    """One athlete as typed: trials in order, `stated` is NM, DNS, DQ or ''; `warnings` what looks wrong."""

    number: int
    code: str
    series: Series
    stated: str = ""
    warnings: tuple[str, ...] = ()

    @property
    def status(self) -> str:
        """DQ and DNS as stated; NM as stated where no valid mark contradicts it; else what the series says."""
        if self.stated in ("DQ", "DNS") or (self.stated == "NM" and not self.series.marks):
            return self.stated
        return self.series.status


def columns(names: Sequence[str], line: int = 1) -> tuple[str, ...]:
    """The names of the columns, tidied. Raises NotATable without `code` or `t1`, or with a name twice.

    >>> columns(["Code", " t1", "w1", "note"])
    ('code', 't1', 'w1', 'note')
    """
    tidy = tuple(name.strip().lower() for name in names)
    for name, count in Counter(name for name in tidy if name).items():
        if count > 1:
            where = f"line {line}, column {name}"
            raise NotATable(name, expected=f"every column once, this one is there {count} times", where=where)
    for needed in ("code", "t1"):
        if needed not in tidy:
            heading = ", ".join(name for name in tidy if name)[:80]
            raise NotATable(
                heading, expected=f"a heading with a column {needed}", where=f"line {line}, column {needed}"
            )
    return tidy


def unknown_columns(names: Iterable[str]) -> tuple[str, ...]:
    """Those of the tidied names that mean nothing here.

    >>> unknown_columns(("code", "t1", "w12", "coach"))
    ('coach',)
    """
    return tuple(name for name in names if name and name not in NAMES and not NUMBERED.fullmatch(name))


def read_line(number: int, cells: Mapping[str, str], rules: RuleSet) -> SeriesLine:
    """One athlete's line, `number` its line in the file.

    Units: metres and m/s in text, centimetres and tenths of m/s out; a mark may be followed by `w`, as in `7.94w`.
    Raises NotATable, NotAMark, NotATrial or NotAWind, each with line and column.

    >>> from scoring.rulesets import rule_set
    >>> read_line(2, {"code": "A1", "t1": "x", "t2": "7.94", "note": "q w2"}, rule_set("international")).series.marks
    (794,)
    """
    code = " ".join(cells.get("code", "").split())
    if not code:
        raise NotATable(code, expected="a code for every athlete", where=f"line {number}, column code")
    if len(code) > LONGEST_CODE:
        expected = f"a code of at most {LONGEST_CODE} characters"
        raise NotATable(code, expected=expected, where=f"line {number}, column code")
    return _Line(number, cells, rules).read(code)


@lru_cache(maxsize=8)
def _numbers(names: tuple[str, ...], letter: str) -> tuple[int, ...]:
    """Which of `t1`, `t2` ... or `w1`, `w2` ... are there: the same for every line of a table."""
    found = (NUMBERED.fullmatch(name) for name in names)
    return tuple(sorted(int(match[2]) for match in found if match and match[1] == letter))


@dataclass(slots=True)
class _Line:
    """A line being read; collects the warnings."""

    number: int
    cells: Mapping[str, str]
    rules: RuleSet
    warnings: list[str] = field(default_factory=list)

    def where(self, column: str) -> str:
        return f"line {self.number}, column {column}"

    def warn(self, column: str, says: str) -> None:
        self.warnings.append(f"{self.where(column)}: {says}")

    def read(self, code: str) -> SeriesLine:
        words = [word.strip(AROUND_WORDS).upper() for word in BETWEEN_WORDS.split(self.cells.get("note", ""))]
        windy = {int(flag[2]) for flag in map(FLAG.fullmatch, words) if flag and flag[1] == "W"}
        without = {int(flag[2]) for flag in map(FLAG.fullmatch, words) if flag and flag[1] == "NWI"}
        trials = tuple(self.trials(windy, without))
        stated = next((status for word, status in STATUS_WORDS.items() if word in words), "")
        series = Series(trials, self.rules.wind_limit_tenths)
        self.check_columns(windy | without)
        self.check_stated(series, stated)
        return SeriesLine(self.number, code, series, stated, tuple(self.warnings))

    def trials(self, windy: set[int], without: set[int]) -> Iterator[Trial]:
        retired = ""
        for n in _numbers(tuple(self.cells), "t"):
            column = f"t{n}"
            over_limit = self.cells.get(f"w{n}", "").strip().lower() == "w"
            wind = None if over_limit else self.wind(f"w{n}")
            text = self.cells[column].strip()
            if not text:
                if wind is not None:
                    self.warn(f"w{n}", "a wind without a trial")
                continue
            flagged = text[-1] in "wW" and any(letter.isdigit() for letter in text)
            trial = self.trial(column, text, text[:-1] if flagged else text)
            if retired and trial.taken:
                self.warn(column, f"a trial after the r in column {retired}; it is counted")
            retired = retired or (column if trial.result is Result.RETIRED else "")
            wind = self.doubted(f"w{n}", wind, flagged or over_limit or n in windy, n in without)
            yield dataclasses.replace(trial, wind=wind)

    def trial(self, column: str, text: str, bare: str) -> Trial:
        try:
            trial = parse_trial(OTHER_SIGNS.get(bare.strip().lower(), bare))
        except RuleError as problem:
            raise type(problem)(text, expected=problem.expected, where=self.where(column)) from problem
        longest = max(self.rules.longest_cm(triple=True), self.rules.longest_cm(triple=False))
        if trial.mark is not None and trial.mark > longest:
            raise NotATable(text, expected=f"at most {show_mark(longest)} m", where=self.where(column))
        return trial

    def wind(self, column: str) -> Wind | None:
        text = self.cells.get(column, "").strip()
        if not text:
            return None
        try:
            return parse_wind(text)
        except RuleError as problem:
            raise type(problem)(text, expected=problem.expected, where=self.where(column)) from problem

    def doubted(self, column: str, wind: Wind | None, windy: bool, without: bool) -> Wind | None:
        """The wind with the flags of the note: a flag never makes a wind legal, and may make a legal one doubtful."""
        if without:
            if wind is not None and wind != NWI:
                self.warn(column, f"{show_wind(wind)} is stated, but the note says NWI; it is taken as NWI")
            return NWI
        if windy and wind_status(wind, self.rules.wind_limit_tenths) is WindStatus.LEGAL:
            self.warn(column, f"{show_wind(wind)} is legal, but the trial is flagged windy; taken as windy")
            return None
        return wind

    def check_columns(self, flagged: set[int]) -> None:
        trials = _numbers(tuple(self.cells), "t")
        for n in _numbers(tuple(self.cells), "w"):
            if n not in trials and self.cells[f"w{n}"].strip():
                self.warn(f"w{n}", f"a wind, but there is no column t{n}")
        for n in sorted(flagged.difference(trials)):
            self.warn("note", f"speaks of trial {n}, but there is no column t{n}")

    def check_stated(self, series: Series, stated: str) -> None:
        given = "no mark" if series.best is None else show_mark(series.best)
        if stated in ("NM", "DNS") and series.best is not None:
            self.warn("note", f"{stated} is stated, but the trials give {given}")
        best = self.cells.get("best", "").strip().rstrip("wW")
        if stated in ("DNS", "DQ") or not any(letter.isdigit() for letter in best):
            return
        try:
            same = parse_mark(best) == series.best
        except RuleError:
            same = False
        if not same:
            self.warn("best", f"{best} is stated, but the trials give {given}")
