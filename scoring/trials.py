"""Trials and series: what one turn at the board gave, and an athlete's trials in order.

Notation (open: CR 25, from memory): a distance, `x` failed, `-` pass, `r` retired, `o` valid but not measured.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from scoring.errors import NotATrial
from scoring.marks import Unit, parse_mark, show_mark
from scoring.wind import NWI, Wind, WindStatus, show_wind, wind_status


class Result(StrEnum):
    """What a turn gave."""

    MARK = "mark"
    FAIL = "x"
    PASS = "-"
    RETIRED = "r"
    NOT_MEASURED = "o"


class FailReason(StrEnum):
    """Why the judge raised the red flag (WA TR 30.1; the wording is ours)."""

    LINE = "line"
    BESIDE_BOARD = "beside_board"
    SOMERSAULT = "somersault"
    SHORT_OF_SAND = "short_of_sand"
    OUTSIDE_NEARER = "outside_nearer"
    LEFT_NEARER = "left_nearer"
    TIME = "time"
    PHASES = "phases"
    ABSENT = "absent"
    NOT_STATED = ""


FAIL_REASONS: dict[FailReason, str] = {
    FailReason.LINE: "broke the plane of the take-off line, also by running through",
    FailReason.BESIDE_BOARD: "took off outside either end of the board",
    FailReason.SOMERSAULT: "somersault",
    FailReason.SHORT_OF_SAND: "touched the ground between line and sand",
    FailReason.OUTSIDE_NEARER: "touched outside the sand nearer to the line than the nearest break",
    FailReason.LEFT_NEARER: "left the sand nearer to the line than the nearest break",
    FailReason.TIME: "time ran out",
    FailReason.PHASES: "wrong order of phases in the triple jump",
    FailReason.ABSENT: "absent without leave",
    FailReason.NOT_STATED: "no reason stated",
}

NOT_FAILURES: tuple[str, ...] = (
    "running outside the runway lines",
    "taking off before the board",
    "part of the shoe over the end of the board, but before the line (from memory)",
    "falling back inside the sand: that mark is then the nearest break",
    "touching outside the sand farther away than the break",
    "walking back through the sand after leaving it correctly",
    "stopping short and starting again within the time",
    "a trailing leg touching the ground in the triple jump",
)
"""What looks like a failure and is none (WA TR 30.1 and juniors' officials' sheets; shown to the judge)."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One turn at the board. `mark` in the meet's unit, `board_cm` the distance of the board from the sand.

    A failed trial may carry a mark: it was measured under protest and counts only once `upheld`.
    """

    result: Result
    mark: int | None = None
    wind: Wind | None = None
    reason: FailReason = FailReason.NOT_STATED
    board_cm: int | None = None
    under_protest: bool = False
    upheld: bool = False

    @property
    def valid_mark(self) -> int | None:
        """The mark that counts for the place, whatever the wind; None if there is none.

        >>> Trial(Result.MARK, 543).valid_mark, Trial(Result.FAIL, 543, under_protest=True).valid_mark
        (543, None)
        """
        if self.result is Result.MARK:
            return self.mark if self.upheld or not self.under_protest else None
        if self.result is Result.FAIL and self.under_protest and self.upheld:
            return self.mark
        return None

    @property
    def taken(self) -> bool:
        """Whether the athlete jumped (or let the time run out): neither a pass nor a retirement."""
        return self.result in (Result.MARK, Result.FAIL, Result.NOT_MEASURED)


def parse_trial(text: str, unit: Unit = Unit.CM) -> Trial:
    """Read one trial in the open notation; a wind or `w` is not part of it.

    Raises NotATrial or NotAMark.

    >>> parse_trial("X").result, parse_trial("5.43").mark
    (<Result.FAIL: 'x'>, 543)
    """
    tidy = text.strip().lower()
    if tidy in ("x", "-", "r", "o"):
        return Trial(Result(tidy))
    if tidy in ("–", "—", "−"):
        return Trial(Result.PASS)
    if not any(letter.isdigit() for letter in tidy):
        raise NotATrial(text, expected="a distance, x, -, r or o")
    return Trial(Result.MARK, parse_mark(text, unit))


def show_trial(trial: Trial, unit: Unit = Unit.CM) -> str:
    """A trial in the open notation. A mark kept under protest is not shown: it reads `x`.

    >>> show_trial(Trial(Result.MARK, 543)), show_trial(Trial(Result.FAIL))
    ('5.43', 'x')
    """
    valid = trial.valid_mark
    if valid is not None:
        return show_mark(valid, unit)
    return "x" if trial.result is Result.MARK else str(trial.result)


@dataclass(frozen=True, slots=True)
class Series:
    """An athlete's trials in order. `legal_limit_tenths`: at most this wind is legal."""

    trials: tuple[Trial, ...] = ()
    legal_limit_tenths: int = 20
    marks: tuple[int, ...] = field(init=False, default=())
    """Valid marks, best first: the key of the place."""

    def __post_init__(self) -> None:
        valid = (trial.valid_mark for trial in self.trials)
        object.__setattr__(self, "marks", tuple(sorted((m for m in valid if m is not None), reverse=True)))

    @property
    def best(self) -> int | None:
        return self.marks[0] if self.marks else None

    @property
    def best_trial(self) -> Trial | None:
        """The trial that gave the best; of equal marks, the one with the better wind status, then the earlier.

        >>> from scoring.wind import Wind
        >>> Series((Trial(Result.MARK, 543, Wind(25)), Trial(Result.MARK, 543, Wind(10)))).best_trial.wind
        Wind(tenths=10)
        """
        order = {WindStatus.LEGAL: 0, WindStatus.NWI: 1, WindStatus.OWED: 2, WindStatus.WINDY: 3}
        valid = [trial for trial in self.trials if trial.valid_mark is not None]
        return min(
            valid,
            key=lambda trial: (
                -(trial.valid_mark or 0),
                order[wind_status(trial.wind, self.legal_limit_tenths)],
            ),
            default=None,
        )

    def best_with(self, statuses: Iterable[WindStatus]) -> int | None:
        """The best valid mark whose wind has one of these statuses.

        >>> from scoring.wind import Wind
        >>> series = Series((Trial(Result.MARK, 561, Wind(21)), Trial(Result.MARK, 558, Wind(14))))
        >>> series.best, series.best_with({WindStatus.LEGAL})
        (561, 558)
        """
        wanted = set(statuses)
        marks = (
            trial.valid_mark for trial in self.trials if wind_status(trial.wind, self.legal_limit_tenths) in wanted
        )
        return max((mark for mark in marks if mark is not None), default=None)

    @property
    def best_legal(self) -> int | None:
        """The best valid mark with a stated legal wind: windy, NWI and owed do not count."""
        return self.best_with({WindStatus.LEGAL})

    @property
    def status(self) -> str:
        """`NM` if a trial was taken and none is valid, `DNS` if none was taken at all, else ''.

        A series of valid but unmeasured trials is neither (CR 25, from memory).
        """
        if self.marks or any(trial.result is Result.NOT_MEASURED for trial in self.trials):
            return ""
        return "NM" if any(trial.taken for trial in self.trials) else "DNS"


def show_series(series: Series, unit: Unit = Unit.CM) -> str:
    """The series as officials write it, `w` and `NWI` behind the mark they belong to.

    >>> from scoring.wind import Wind
    >>> show_series(Series((Trial(Result.MARK, 543, Wind(23)), Trial(Result.FAIL), Trial(Result.PASS))))
    '5.43w(+2.3) x -'
    """
    return " ".join(_shown(trial, series.legal_limit_tenths, unit) for trial in series.trials)


def _shown(trial: Trial, limit_tenths: int, unit: Unit) -> str:
    text = show_trial(trial, unit)
    if trial.valid_mark is None or trial.wind is None:
        return text
    windy = "w" if wind_status(trial.wind, limit_tenths) is WindStatus.WINDY else ""
    return f"{text}{windy}({'NWI' if trial.wind == NWI else show_wind(trial.wind)})"
