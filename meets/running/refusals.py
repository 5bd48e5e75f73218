"""What recording refuses: only what cannot be. Everything unusual is asked about and then recorded."""

from collections.abc import Mapping

from django.utils.translation import gettext as _

from athletes.models import Discipline
from meets.models import Event
from meets.running.words import say_refused
from scoring import facts
from scoring.errors import RuleError
from scoring.marks import Unit, mark_in_cm, show_mark
from scoring.rulesets import MOST_ROUNDS, RuleSet, from_written
from scoring.trials import Result

FARTHEST_BOARD_CM = 2000
LEAST_ROUND = {"round": 1, "after_round": 1, "last_round": 1, "rounds": 1, "rounds_counted": 0}
ABOUT_THE_EVENT = (facts.ProtestLodged, facts.Voided)
"""Rows that need name neither an athlete nor a round."""


class Refusal(Exception):
    """Something that cannot be recorded; its text is a translated sentence for the person who tried."""


def refuse_what_cannot_be(fact: facts.Fact, event: Event, bibs: Mapping[str, str], rules: RuleSet) -> None:
    """Raises Refusal with the sentence. `bibs`: entry key -> bib of everybody in the event."""
    refuse_stranger(fact, event, bibs)
    _refuse_numbers(fact)
    if isinstance(fact, facts.Jumped):
        _refuse_trial(fact, event, bibs[fact.entry], rules)
    if isinstance(fact, facts.WindRead) and fact.tenths is not None and abs(fact.tenths) > 200:
        raise Refusal(_("A wind reading lies between -20.0 and +20.0 m/s."))
    if isinstance(fact, facts.Card) and fact.colour not in ("yellow", "red"):
        raise Refusal(_("A card is yellow or red."))
    if isinstance(fact, facts.Drawn | facts.CutTaken | facts.OrderCalled | facts.FlightsMerged):
        _refuse_list(fact, bibs)
    if isinstance(fact, facts.RuleChanged):
        try:
            rules.with_changes({fact.field: from_written(fact.field, fact.value)})
        except RuleError as problem:
            raise Refusal(say_refused(problem)) from problem


def refuse_stranger(fact: object, event: Event, bibs: Mapping[str, str]) -> None:
    """`fact`: a row or a turn; what is about an athlete needs one who is in the event."""
    entry = getattr(fact, "entry", None)
    if entry in bibs or (entry == "" and isinstance(fact, ABOUT_THE_EVENT)) or entry is None:
        return
    if entry in map(str, event.entries.values_list("pk", flat=True)):
        says = _("This athlete is withdrawn from %(event)s. Restore the entry at the desk first.")
        raise Refusal(says % {"event": event.name})
    raise Refusal(_("This athlete is not entered in %(event)s.") % {"event": event.name})


def _refuse_numbers(fact: facts.Fact) -> None:
    """Rounds, replacement trials and boards that no event has: a slip of the keys that nothing could be made of."""
    for name, least in LEAST_ROUND.items():
        round = getattr(fact, name, None)
        if round is not None and not (0 if isinstance(fact, ABOUT_THE_EVENT) else least) <= round <= MOST_ROUNDS:
            raise Refusal(_("Rounds are counted from 1 to %(most)s.") % {"most": MOST_ROUNDS})
    if not 0 <= getattr(fact, "replacement", 0) <= MOST_ROUNDS:
        raise Refusal(_("Replacement trials of a turn are counted from 1 to %(most)s.") % {"most": MOST_ROUNDS})
    for name in ("board_cm", "measured_cm"):
        distance = getattr(fact, name, None)
        if distance is not None and not 0 < distance <= FARTHEST_BOARD_CM:
            raise Refusal(_("A board lies between 1 cm and 20 m from the sand."))


def _refuse_trial(trial: facts.Jumped, event: Event, bib: str, rules: RuleSet) -> None:
    unit = Unit(event.meet.unit)
    if trial.result is Result.MARK and trial.mark is None:
        raise Refusal(_("A valid trial needs its mark; if it was not measured, write o."))
    if trial.mark is None:
        return
    if trial.result in (Result.PASS, Result.RETIRED, Result.NOT_MEASURED):
        raise Refusal(_("Bib %(bib)s: only a measured trial has a mark.") % {"bib": bib})
    longest = rules.longest_cm(event.discipline == Discipline.TRIPLE_JUMP)
    if trial.mark < 1 or mark_in_cm(trial.mark, unit) > longest:
        raise Refusal(
            _("Bib %(bib)s: %(mark)s cannot be; nobody has jumped over %(longest)s.")
            % {"bib": bib, "mark": show_mark(max(trial.mark, 1), unit), "longest": f"{longest / 100:.2f} m"}
        )


def _refuse_list(
    fact: facts.Drawn | facts.CutTaken | facts.OrderCalled | facts.FlightsMerged, bibs: Mapping[str, str]
) -> None:
    if isinstance(fact, facts.Drawn):
        listed = [entry for flight in fact.flights for entry in flight]
    elif isinstance(fact, facts.CutTaken):
        listed = [*fact.going_on, *fact.under_protest]
    else:
        listed = list(fact.order)
    if any(entry not in bibs for entry in listed):
        raise Refusal(_("The list names somebody who is not entered in this event."))
    if len(set(listed)) != len(listed):
        twice = next(entry for entry in listed if listed.count(entry) > 1)
        raise Refusal(_("Bib %(bib)s is on the list twice.") % {"bib": bibs[twice]})
