"""The few kinds of refusal of the rules: each names the value, what was expected and, if known, where."""

from __future__ import annotations

from collections.abc import Mapping

LONGEST_SHOWN = 80
"""More of a value than this is not repeated in a refusal."""


class RuleError(ValueError):
    """Something the rules cannot take. `value` is what came, `expected` a phrase, `where` a place or ''.

    `expected` may hold names for `params`. Whoever shows it in another language puts `message` and `phrase` through
    its own words and fills in `shown` and `params`.

    >>> str(RuleError("5.4", expected="two decimals, for example 5.40", where="round 2"))
    "round 2: '5.4' is not understood; expected two decimals, for example 5.40"
    """

    says = "is not understood"

    def __init__(
        self, value: object, *, expected: str, where: str = "", params: Mapping[str, object] | None = None
    ) -> None:
        self.phrase, self.params = expected, dict(params or {})
        self.value, self.where = value, where
        self.expected = expected % self.params if self.params else expected
        super().__init__(value, expected, where)

    @property
    def message(self) -> str:
        """The sentence with names for `value` and `expected`."""
        return f"%(value)s {self.says}; expected %(expected)s"

    @property
    def shown(self) -> str:
        """The value as it is repeated, cut off where it is long."""
        value = repr(self.value)
        return value if len(value) <= LONGEST_SHOWN else f"{value[: LONGEST_SHOWN - 1]}…"

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        return place + self.message % {"value": self.shown, "expected": self.expected}


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
