"""Decisions about the whole event: breaks, its length, its rules, flights, gauge and end."""

from functools import cached_property

from django import forms
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.desk.decide.decision import Decision, WithReason
from meets.desk.fields import MetresField
from meets.desk.rules.reads import rules_in_force
from meets.entries.seen import Standing
from meets.pit.decisions.actions import close
from meets.pit.fields import BibsField
from meets.pit.still_open import still_open
from meets.pit.sync.reads import close_out, not_heard_of
from meets.running import actions
from meets.sheets.wording import choice_in_words
from scoring.state import Stage


class Suspend(WithReason):
    heading = _("Suspend the event")
    says = _("Nobody jumps until it is resumed; everything recorded stays, and it goes on where it stopped.")
    button = _("Suspend")
    done = _("Suspended: nobody jumps.")
    action = staticmethod(actions.suspend)

    def standing(self) -> Standing:
        state = self.page.state
        reason = state.suspended_reason if state.stage is Stage.SUSPENDED else ""
        return {gettext("Suspended"): (reason or gettext("yes")) if state.stage is Stage.SUSPENDED else gettext("no")}

    safety = forms.BooleanField(label=_("For safety"), required=False)


class Resume(Decision):
    heading = _("Resume the event")
    says = _("In the same order, after time to warm up. See first that sand, runway and board are ready.")
    button = _("Resume")
    done = _("Resumed.")
    action = staticmethod(actions.resume)


class Shorten(WithReason):
    heading = _("End after a round")
    says = _("By the referee, for all alike: no round after this one. The sheet says so.")
    button = _("End after this round")
    done = _("No round after that one.")
    action = staticmethod(actions.shorten)

    last_round = forms.IntegerField(label=_("Last round"), min_value=1)

    def standing(self) -> Standing:
        return {gettext("Rounds of the event"): str(self.page.state.rounds)}


class Abandon(WithReason):
    heading = _("Abandon the event")
    says = _(
        "It will not be finished. If enough rounds were completed they count, and the broken round is shown "
        "and does not; otherwise there is no result. The referee may decide otherwise."
    )
    button = _("Abandon")
    done = _("Abandoned.")
    stern = True
    action = staticmethod(actions.abandon)

    rounds_counted = forms.IntegerField(
        label=_("Rounds that count"), min_value=0, required=False, help_text=_("Empty: by the rule.")
    )


class ChangeRule(WithReason):
    heading = _("Change a rule of this event")
    says = _("By the referee, for all alike, from now on. It stands on the sheet with its reason.")
    done = _("The rule is changed.")
    action = staticmethod(actions.change_rule)

    field = forms.ChoiceField(label=_("Rule"))
    value = forms.CharField(label=_("From now on"), max_length=100, help_text=_("Written as in the list of rules."))

    def __init__(self, *args, page, **kwargs):
        self.groups = rules_in_force(page.event, page.state.rules)
        super().__init__(*args, page=page, **kwargs)
        now = gettext("%(says)s Now: %(value)s.")
        self.fields["field"].choices = [
            (title, [(line.name, now % {"says": line.says, "value": line.value_in_words}) for line in lines])
            for title, lines in self.groups
        ]

    def standing(self) -> Standing:
        return {line.name: line.value for _title, lines in self.groups for line in lines}

    def concerning(self, changed: Standing) -> Standing:
        asked = self.cleaned_data.get("field")
        lines = [line for _title, lines in self.groups for line in lines if line.name in changed and line.name == asked]
        return {line.says: line.value_in_words for line in lines}

    def asked(self) -> dict[str, object]:
        """A choice may be typed as it is shown."""
        values = super().asked()
        typed = str(values["value"]).strip().casefold()
        lines = [line for _title, lines in self.groups for line in lines if line.name == values["field"]]
        raw = [choice for line in lines for choice in line.choices if choice_in_words(choice).casefold() == typed]
        return {**values, "value": (raw or [values["value"]])[0]}


class SignReadiness(Decision):
    heading = _("Sand, runway and board are ready")
    says = _(
        "Dug, loose and level sand without stones, rakes away, runway clear and dry, board firm. The official "
        "who is qualified for it looks and decides; the rules that apply at this place come first."
    )
    button = _("Signed off")
    done = _("Signed off: they may jump.")
    action = staticmethod(actions.sign_readiness)

    board_cm = MetresField(
        label=_("Board in use, metres from the sand"), required=False, longest_cm=2000,
        help_text=_("With the measured distance it catches a tape that is hooked wrongly for everybody."),
    )  # fmt: skip
    measured_cm = MetresField(label=_("Line to sand edge as measured, metres"), required=False, longest_cm=2000)


class NoGauge(WithReason):
    heading = _("No wind gauge from here on")
    says = _("Later trials are NWI, without wind information. Winds read before stay; those owed stay owed.")
    button = _("No gauge from here on")
    done = _("No wind information from here on.")
    action = staticmethod(actions.no_gauge)
    reason_needed = False


class GaugeAgain(WithReason):
    heading = _("A wind gauge again")
    says = _("From the next trial on winds are read again.")
    button = _("There is a gauge again")
    done = _("Winds are read again.")
    action = staticmethod(actions.no_gauge)
    reason_needed = False

    def asked(self) -> dict[str, object]:
        return {**super().asked(), "again": True}


class MergeFlights(WithReason):
    heading = _("Join the flights")
    says = _("From this round on everybody jumps in one order. Rounds before keep theirs.")
    done = _("The flights are joined.")
    action = staticmethod(actions.merge_flights)

    round = forms.IntegerField(label=_("From round"), min_value=1)

    def __init__(self, *args, page, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        order = [entry for flight in page.state.flights for entry in flight]
        self.fields = {
            **self.fields,
            "round": self.fields["round"],
            "order": BibsField(page.people, label=gettext("Order, by bib"), initial=order),
            "reason": self.fields["reason"],
        }

    def standing(self) -> Standing:
        """The flights as they are called, of which the order was made."""
        bibs = [" ".join(self.page.people[key].bib for key in flight) for flight in self.page.state.flights]
        return {gettext("Flight %(number)d") % {"number": number}: line for number, line in enumerate(bibs, 1)}


class MoveFlight(WithReason):
    heading = _("Move a flight to another pit")
    says = _("Only after a completed round; wind alone is no reason.")
    done = _("The flight goes on at the other pit.")
    action = staticmethod(actions.move_flight)

    flight = forms.TypedChoiceField(label=_("Flight"), coerce=int)
    pit = forms.ChoiceField(label=_("Pit"))

    def __init__(self, *args, page, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        numbers = range(1, len(page.state.flights) + 1)
        self.fields["flight"].choices = [(n, str(n)) for n in numbers]
        self.fields["pit"].choices = [(pit.name, pit.name) for pit in page.event.meet.pits.all()]


class Close(WithReason):
    heading = _("Close the event")
    says = _(
        "Closing signs the sheet. A correction stays possible afterwards, with its reason. While a trial, a decision "
        "or a disagreement is open, closing needs a reason."
    )
    button = _("Close the event")
    done = _("Closed.")
    action = staticmethod(close)
    reason_needed = False

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reason"].required = bool(self.not_here)

    @cached_property
    def not_here(self) -> tuple[str, ...]:
        """What phones hold for the event and the desk does not have."""
        return close_out(self.page.event).says

    @cached_property
    def not_heard_of(self) -> tuple[str, ...]:
        """What nobody can know; no reason is needed, as phones are switched off when all is over."""
        return not_heard_of(self.page.event, timezone.now())

    @cached_property
    def still_open(self) -> tuple[str, ...]:
        return still_open(self.page.event, self.page.state, self.page.people)

    def standing(self) -> Standing:
        return {gettext("Not here"): " ".join(self.not_here)}


BY_NAME: dict[str, type[Decision]] = {
    "suspend": Suspend,
    "resume": Resume,
    "shorten": Shorten,
    "abandon": Abandon,
    "rule": ChangeRule,
    "readiness": SignReadiness,
    "no-gauge": NoGauge,
    "gauge-again": GaugeAgain,
    "merge": MergeFlights,
    "move-flight": MoveFlight,
    "close": Close,
}
