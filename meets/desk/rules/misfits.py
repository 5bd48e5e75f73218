"""Changes of rules that no longer fit, once what they are made to has changed: who made them, and what holds."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from meets.entries.rules import event_rules, meet_rules
from meets.models import Event, Meet
from meets.sheets.wording import rule_value_in_words
from scoring.rulesets import RuleSet, rules, to_written


@dataclass(frozen=True)
class Misfit:
    """A change that does not hold: whose it is, the rule as its sentence, the value wished and the one that holds."""

    owner: str
    rule: str
    wished: str
    holds: str


def misfits_of(event: Event) -> list[Misfit]:
    """The event's own changes that do not fit the rules of its meet."""
    return _misfits(event.name, event.rule_changes, event_rules(event, meet_rules(event.meet)))


def misfits_with(meet: Meet, *, rule_set: str, rule_changes: Mapping[str, str]) -> list[Misfit]:
    """What would no longer hold if these were the rules of the meet, and holds today."""
    wished = Meet(rule_set=rule_set, rule_changes=dict(rule_changes))
    of_meet = meet_rules(wished)
    found = _misfits(_("The meet"), wished.rule_changes, of_meet)
    for event in meet.events.all():
        event.meet = meet
        today = {misfit.rule for misfit in misfits_of(event)}
        then = _misfits(event.name, event.rule_changes, event_rules(event, of_meet))
        found += [misfit for misfit in then if misfit.rule not in today]
    return found


def _misfits(owner: str, written: Mapping[str, str], held: RuleSet) -> list[Misfit]:
    says = {rule.name: _(rule.says) for rule in rules()}
    holds = {name: to_written(name, getattr(held, name)) for name in written}
    return [
        Misfit(owner, says[name], rule_value_in_words(name, wished), rule_value_in_words(name, holds[name]))
        for name, wished in written.items()
        if holds[name] != wished
    ]
