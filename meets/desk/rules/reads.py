"""The rules of a meet or an event as the page of rules shows them, and what is wrong with a change."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

from meets.entries.rules import meet_rules
from meets.models import Event, LogRow, Meet
from meets.sheets.wording import rule_value_in_words
from scoring import rulesets
from scoring.errors import NotARuleSet

# The order in which people read the rules, by what they are about.
GROUPS = (
    (
        lazy("Trials and the cut"),
        (
            "rounds", "cuts", "cut_needs_mark", "ties_go_on", "withdrawn_replaced", "guests_count_as_starters",
            "guests_hold_place", "guests_go_on", "standard", "qualify", "abandon_rounds", "tied_first",
        ),
    ),
    (
        lazy("Flights and order"),
        (
            "first_order", "flight_size", "spread_schools", "a_before_b", "reorder_before", "order_after_cut", "call",
            "open_pit_minutes", "consecutive_trials", "excused_minutes", "absent_without_leave",
        ),
    ),
    (lazy("Time"), ("trial_seconds", "consecutive_seconds", "warning_seconds", "protest_minutes")),
    (
        lazy("Line, wind and marks"),
        (
            "line", "take_off_zone", "zone_cm", "wind_limit_tenths", "nwi_counts_for_bests",
            "nwi_counts_for_records", "guests_set_records", "windy_counts_for_bests", "longest_long_jump_cm",
            "longest_triple_jump_cm",
        ),
    ),
    (
        lazy("Boards and reach, for the official's judgement"),
        (
            "reach_margin_cm", "reach_margin_young_cm", "young_under", "few_marks", "sand_end_margin_cm",
            "jump_share_percent", "board_tolerance_cm",
        ),
    ),
    (lazy("Questions at the pit"), ("ask_above_best_cm", "ask_below_best_cm", "ask_wind_flip_tenths")),
    (
        lazy("Limits, points and teams"),
        (
            "entries_per_school", "events_per_athlete", "older_group_allowed", "triple_jump_from", "points",
            "points_by_schools", "scorers_per_school", "over_limit", "better_is_a", "lone_b_moves_up", "b_table",
            "b_points", "equal_totals", "combined_points",
        ),
    ),
)  # fmt: skip
UNCHANGED = ("name", "title")

SOURCES = {
    "WA": lazy("World Athletics"),
    "PUB": lazy("a published text"),
    "MEM": lazy("from memory"),
    "CP": lazy("common practice"),
    "LOCAL": lazy("local custom"),
}


@dataclass(frozen=True)
class RuleLine:
    """One rule as people change it. `before`: what holds without the change, in its written form."""

    name: str
    says: str
    unit: str
    source: str
    before: str
    value: str
    choices: tuple[str, ...]

    @property
    def before_in_words(self) -> str:
        return rule_value_in_words(self.name, self.before)

    @property
    def value_in_words(self) -> str:
        return rule_value_in_words(self.name, self.value)

    @property
    def changed(self) -> bool:
        return self.value != self.before


def base_of(owner: Meet | Event) -> rulesets.RuleSet:
    """What the changes of a meet or an event are made to: a built-in set, or the meet's own rules."""
    if isinstance(owner, Event):
        return meet_rules(owner.meet)
    return rulesets.rule_set(owner.rule_set)


def rule_groups(owner: Meet | Event) -> list[tuple[str, list[RuleLine]]]:
    """Every rule under its heading, as it is for a meet or an event; rules that no group names come last."""
    base = base_of(owner)
    known = {rule.name: rule for rule in rulesets.rules() if rule.name not in UNCHANGED}
    groups = [
        (str(title), [_line(known.pop(name), base, owner.rule_changes) for name in names]) for title, names in GROUPS
    ]
    if known:
        groups.append((_("Other rules"), [_line(rule, base, owner.rule_changes) for rule in known.values()]))
    return groups


def rules_in_force(owner: Meet | Event, rules: rulesets.RuleSet) -> list[tuple[str, list[RuleLine]]]:
    """The same with the values that hold by now, decisions of the referee among them."""
    return [
        (title, [replace(line, value=rulesets.to_written(line.name, getattr(rules, line.name))) for line in lines])
        for title, lines in rule_groups(owner)
    ]


def _line(rule: rulesets.Rule, base: rulesets.RuleSet, changes: Mapping[str, str]) -> RuleLine:
    before = rulesets.to_written(rule.name, getattr(base, rule.name))
    choices = ("yes", "no") if isinstance(rule.default, bool) else rule.choices
    return RuleLine(
        rule.name, _(rule.says), "" if choices else _(rule.unit), source_in_words(rule.source), before,
        changes.get(rule.name, before), choices,
    )  # fmt: skip


def source_in_words(source: str) -> str:
    """`CP` and the like spelled out."""
    return re.sub(r"\b(WA|PUB|MEM|CP|LOCAL)\b", lambda found: str(SOURCES[found[1]]), source)


def changes_of(owner: Meet | Event, written: Mapping[str, str]) -> dict[str, str]:
    """Of all rules in their written form, those that differ from what holds without a change."""
    base = base_of(owner)
    return {
        name: " ".join(text.split())
        for name, text in written.items()
        if " ".join(text.split()) != rulesets.to_written(name, getattr(base, name))
    }


def problems_of(owner: Meet | Event, changes: Mapping[str, str]) -> list[tuple[str, str]]:
    """Every reason why the changes cannot be made, each with the name of its rule; empty if they can."""
    values: dict[str, object] = {}
    wrong: list[NotARuleSet] = []
    for name, text in changes.items():
        try:
            values[name] = rulesets.from_written(name, text)
        except NotARuleSet as problem:
            wrong.append(problem)
    wrong += rulesets.problems(base_of(owner), values)
    return [(problem.where, _worded(problem)) for problem in wrong]


def _worded(problem: NotARuleSet) -> str:
    value = problem.value
    if isinstance(value, bool | int | tuple):
        value = rulesets.to_written(problem.where, value)
    return _("“%(value)s” cannot be; expected: %(expected)s.") % {"value": value, "expected": problem.expected}


def first_trial_taken(owner: Meet | Event) -> bool:
    """From the first trial on, rules change by the referee's decision in the event, not in the settings."""
    rows = LogRow.objects.filter(kind="jumped")
    return (rows.filter(event=owner) if isinstance(owner, Event) else rows.filter(event__meet=owner)).exists()
