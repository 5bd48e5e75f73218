"""The built-in rule sets, and the written form of a rule: as stored, typed and shown."""

from __future__ import annotations

import typing

from scoring.errors import NotARuleSet
from scoring.rule_fields import CUTS, MOST_ROUNDS, Rule, RuleSet, problems, rules, types_of_fields

__all__ = [
    "MOST_ROUNDS", "RULE_SETS", "Rule", "RuleSet", "from_written", "problems", "rule_set", "rules", "to_written",
]  # fmt: skip


def from_written(name: str, text: str) -> object:
    """A field's value from its written form: `6`, `yes`, `3:8 5:4`, `8 7 6`, words. Raises NotARuleSet.

    >>> from_written("cuts", "3:8 5:4"), from_written("ties_go_on", "no"), from_written("rounds", "4")
    (((3, 8), (5, 4)), False, 4)
    """
    hints = types_of_fields()
    if name not in hints:
        raise NotARuleSet(name, expected="one of %(known)s", where="rule", params={"known": ", ".join(hints)})
    hint, tidy = hints[name], text.strip()
    try:
        if hint is bool:
            return {"yes": True, "no": False}[tidy.lower()]
        if hint is int:
            return int(tidy)
        if hint == CUTS:
            return tuple((int(after), int(many)) for after, many in (p.split(":") for p in tidy.split()))
        if typing.get_origin(hint) is tuple:
            return tuple(int(part) for part in tidy.split())
        return tidy
    except (KeyError, ValueError) as problem:
        unit = next(rule.unit for rule in rules() if rule.name == name)
        params = {"unit": unit, "example": to_written(name)}
        raise NotARuleSet(text, expected="%(unit)s, for example %(example)s", where=name, params=params) from problem


def to_written(name: str, value: object = None) -> str:
    """A field's value (its default if none is given) as `from_written` reads it.

    >>> to_written("cuts"), to_written("ties_go_on"), to_written("points", (3, 2))
    ('3:8', 'yes', '3 2')
    """
    if value is None:
        value = next(rule.default for rule in rules() if rule.name == name)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " ".join(":".join(map(str, v)) if isinstance(v, tuple) else str(v) for v in value)
    return str(value)


def _built_in(name: str, title: str, **changes: object) -> RuleSet:
    return RuleSet(name=name, title=title).with_changes(changes)


RULE_SETS: dict[str, RuleSet] = {
    rule_set.name: rule_set
    for rule_set in (
        RuleSet(),
        _built_in("two-cuts", "Cut to 8 after round 3 and to 4 after round 5", cuts=((3, 8), (5, 4))),
        _built_in(
            "qualification", "Qualification round: three trials, Q by standard, q to fill up",
            rounds=3, cuts=(), reorder_before=(), qualify=12,
        ),
        _built_in("three-only", "Three trials for everybody", rounds=3, cuts=(), reorder_before=()),
        _built_in("four", "Four trials for everybody", rounds=4, cuts=(), reorder_before=()),
        _built_in("best-six-one-more", "Three trials, the best 6 one more", rounds=4, cuts=((3, 6),)),
        _built_in("best-four-one-more", "Three trials, the best 4 one more", rounds=4, cuts=((3, 4),)),
        _built_in(
            "us-schools", "US schools: three preliminary trials, scoring places + 1 to the final",
            cuts=((3, 9),), consecutive_trials=True, excused_minutes=10, absent_without_leave="x",
        ),
        _built_in("young-two", "Young children: two trials", rounds=2, cuts=(), reorder_before=()),
        _built_in("young-three", "Young children: three trials", rounds=3, cuts=(), reorder_before=()),
        _built_in(
            "open-pit", "Open pit: three trials in a time window, no order, no clock",
            rounds=3, cuts=(), reorder_before=(), call="open pit",
        ),
        _built_in(
            "combined-events", "Combined events: three trials, points by formula",
            rounds=3, cuts=(), reorder_before=(), combined_points="men",
        ),
    )
}  # fmt: skip
"""The built-in sets by name."""


def rule_set(name: str) -> RuleSet:
    """The built-in set of this name. Raises NotARuleSet listing the names.

    >>> rule_set("international").cuts
    ((3, 8),)
    """
    if name not in RULE_SETS:
        raise NotARuleSet(name, expected=f"one of {', '.join(RULE_SETS)}", where="rule set")
    return RULE_SETS[name]
