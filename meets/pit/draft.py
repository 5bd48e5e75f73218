"""A trial while it is being entered: what has been answered so far, and the one question that comes next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from enum import StrEnum
from urllib.parse import urlencode

from meets.running.digits import mark_from_digits, wind_from_digits
from meets.running.words import say_refused
from scoring.errors import RuleError
from scoring.marks import Unit, parse_mark, show_mark
from scoring.trials import FailReason
from scoring.wind import parse_wind


class Flag(StrEnum):
    """What the judge shows, or what happens in place of a jump."""

    WHITE = "white"
    RED = "red"
    PASS = "pass"
    RETIRE = "retire"
    NOT_MEASURED = "unmeasured"


class Step(StrEnum):
    """The questions in their order."""

    FLAG = "flag"
    WHY = "why"
    MARK = "mark"
    WIND = "wind"
    CONFIRM = "confirm"


NOTATION = {Flag.RED: "x", Flag.PASS: "-", Flag.RETIRE: "r", Flag.NOT_MEASURED: "o"}
NO_SIGN, NO_READING, LATER = "0", "none", "later"
UNSAID = "unsaid"


@dataclass(frozen=True)
class Draft:
    """Answers as text, as they stand in an address or a form. `why`: a fail reason, `unsaid` where none is given.

    `sign`: + or -, `0` for no wind, `none` for no reading, `later` where the wind is still owed.
    """

    flag: str = ""
    why: str = ""
    protest: str = ""
    digits: str = ""
    sign: str = ""
    tenths: str = ""

    @classmethod
    def of(cls, answers: Mapping[str, str]) -> Draft:
        return cls(**{f.name: str(answers.get(f.name, "")).strip()[:20] for f in fields(cls)})

    @property
    def items(self) -> dict[str, str]:
        """What has been answered, to be carried on."""
        return {f.name: getattr(self, f.name) for f in fields(self) if getattr(self, f.name)}

    @property
    def query(self) -> str:
        return urlencode(self.items)

    @property
    def measured(self) -> bool:
        return self.flag == Flag.WHITE or (self.flag == Flag.RED and bool(self.protest))

    def without(self, step: Step) -> Draft:
        """The draft with this question open again; another flag asks everything anew."""
        names = ANSWERS[step] if step is not Step.FLAG else [f.name for f in fields(self)]
        return replace(self, **dict.fromkeys(names, ""))

    def trial(self, unit: Unit) -> str:
        """The trial in the open notation."""
        return mark_from_digits(self.digits, unit) if self.measured else NOTATION[Flag(self.flag)]

    @property
    def wind(self) -> str:
        """The wind as it is typed; nothing while it is owed."""
        named = {NO_SIGN: "0.0", NO_READING: "NWI", LATER: ""}
        if self.sign in named:
            return named[self.sign]
        return wind_from_digits(f"{self.sign}{self.tenths}") if self.tenths else ""

    @property
    def reason(self) -> str:
        return "" if self.why in ("", UNSAID) else self.why

    def mark_wrong(self, unit: Unit) -> str:
        """Why the digits are no distance; nothing if they are, or if none is needed."""
        if not (self.measured and self.digits):
            return ""
        try:
            parse_mark(self.trial(unit), unit)
        except RuleError as problem:
            return say_refused(problem)
        return ""

    def wind_wrong(self) -> str:
        if self.sign in (NO_SIGN, NO_READING, LATER) or not self.tenths:
            return ""
        try:
            parse_wind(self.wind)
        except RuleError as problem:
            return say_refused(problem)
        return ""

    @property
    def wind_said(self) -> bool:
        """Whether the wind is answered: a sign must be pressed unless it is 0.0."""
        if self.sign in (NO_SIGN, NO_READING, LATER):
            return True
        return bool(self.tenths) and (self.sign in ("+", "-") or not self.tenths.strip("0"))


ANSWERS = {
    Step.FLAG: ("flag",),
    Step.WHY: ("why", "protest"),
    Step.MARK: ("digits",),
    Step.WIND: ("sign", "tenths"),
    Step.CONFIRM: (),
}


def step_of(draft: Draft, unit: Unit, *, gauge: bool) -> Step:
    """The first question that is still open. `gauge`: whether winds are read at all."""
    if draft.flag not in list(Flag):
        return Step.FLAG
    if draft.flag == Flag.RED and not draft.why and not draft.protest:
        return Step.WHY
    if draft.reason and draft.reason not in list(FailReason):
        return Step.WHY
    if draft.measured and (not draft.digits or draft.mark_wrong(unit)):
        return Step.MARK
    if draft.wind_wrong() or (draft.tenths and not draft.wind_said):
        return Step.WIND
    if draft.measured and gauge and not draft.wind_said:
        return Step.WIND
    return Step.CONFIRM


def with_guess(draft: Draft, guess: int, unit: Unit) -> Draft:
    """The draft with another mark, as offered beside a question."""
    return replace(draft, digits=show_mark(guess, unit))
