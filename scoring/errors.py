"""The few kinds of refusal of the rules: each names the value, what was expected and, if known, where."""

from __future__ import annotations

LONGEST_SHOWN = 80
"""More of a value than this is not repeated in a refusal."""


class RuleError(ValueError):
    """Something the rules cannot take. `value` is what came, `expected` a phrase, `where` a place or ''.

    >>> str(RuleError("5.4", expected="two decimals, for example 5.40", where="round 2"))
    "round 2: '5.4' is not understood; expected two decimals, for example 5.40"
    """

    says = "is not understood"

    def __init__(self, value: object, *, expected: str, where: str = "") -> None:
        self.value, self.expected, self.where = value, expected, where
        super().__init__(value, expected, where)

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        value = repr(self.value)
        shown = value if len(value) <= LONGEST_SHOWN else f"{value[: LONGEST_SHOWN - 1]}…"
        return f"{place}{shown} {self.says}; expected {self.expected}"


class NotAMark(RuleError):
    """A text or number that is no distance."""

    says = "is no distance"


class NotAWind(RuleError):
    """A text or number that is no wind reading."""

    says = "is no wind reading"


class NotATrial(RuleError):
    """A text that is no trial in the open notation."""

    says = "is no trial"


class NotARuleSet(RuleError):
    """A name or value that no rule set has."""

    says = "is no rule of a rule set"


class NotARow(RuleError):
    """A log row that cannot be."""

    says = "cannot stand in the log"
