"""The rules of a meet and of an event: the meet's rule set with what the meet and then the event has changed."""

from __future__ import annotations

from collections.abc import Mapping

from meets.models import Event, Meet
from scoring.rulesets import RuleSet, from_written, problems, rule_set


def meet_rules(meet: Meet) -> RuleSet:
    return _changed(rule_set(meet.rule_set), meet.rule_changes)


def event_rules(event: Event, of_meet: RuleSet) -> RuleSet:
    """`of_meet` is handed in, so that many events of one meet share it."""
    return _changed(of_meet, event.rule_changes)


def _changed(rules: RuleSet, written: Mapping[str, str]) -> RuleSet:
    """The rules with these changes.

    Where they no longer fit, as the event's when those of the meet have changed since, the changes that do not fit
    are left out one by one: an event must stay readable.
    """
    if not written:
        return rules
    changes = {name: from_written(name, text) for name, text in written.items()}
    if not problems(rules, changes):
        return rules.with_changes(changes)
    fitting: dict[str, object] = {}
    for name, value in changes.items():
        wished = {**fitting, name: value}
        if not problems(rules, wished):
            fitting = wished
    return rules.with_changes(fitting)
