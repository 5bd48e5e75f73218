"""The clock of a trial: how many seconds there are from "all ready"."""

from __future__ import annotations

from scoring.rule_fields import RuleSet


def clock_s(rules: RuleSet, *, consecutive: bool = False) -> int:
    """Give the seconds for a trial; 0 where there is no clock, as in an open pit.

    `consecutive`: the same athlete took the trial before, as always once only one is left. In the long and the triple
    jump nothing else depends on how many are left. Rule: WA TR 25 (from memory), two fields of the rule set.

    >>> rules = RuleSet()
    >>> clock_s(rules), clock_s(rules, consecutive=True), clock_s(RuleSet(cuts=(), call="open pit"))
    (60, 120, 0)
    """
    if rules.call == "open pit":
        return 0
    return rules.consecutive_seconds if consecutive else rules.trial_seconds
