"""Decisions about one athlete: away and back, late, out, cards, board."""

from collections.abc import Iterator
from datetime import date, datetime

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.desk.decide.decision import AboutAthlete, Decision, WithReason
from meets.desk.fields import DateInput, MetresField, metres
from meets.entries.changing import correct_athlete
from meets.entries.seen import Standing
from meets.models import Entry
from meets.running import actions
from meets.running.actions import Refusal
from meets.running.reads import Person


class Leave(AboutAthlete):
    heading = _("Away with leave")
    says = _(
        "To another event or to first aid. The trial may be taken early or late within the round, "
        "not in the last round; time up is a pass."
    )
    done = _("Marked as away.")
    action = staticmethod(actions.leave)

    where = forms.CharField(label=_("Where"), max_length=80, required=False, help_text=_("Pit 2, first aid"))
    back_at = forms.CharField(label=_("Back at, as told"), max_length=20, required=False)


class ComeBack(AboutAthlete):
    heading = _("Back from leave")
    done = _("Marked as back.")
    action = staticmethod(actions.come_back)

    def people(self) -> Iterator[Person]:
        away = {entry.line.entry for entry in self.page.state.entries if entry.away is not None}
        return (person for person in super().people() if person.entry in away)


class JoinLate(WithReason, AboutAthlete):
    heading = _("Came late")
    says = _(
        "By the referee's decision the athlete jumps from this round on; turns missed before are passes. "
        "Within round 1 the referee may let a late athlete close the round. The number of trials is not opened again."
    )
    done = _("The athlete is on the list from that round on.")
    action = staticmethod(actions.join_late)
    reason_needed = False

    round = forms.IntegerField(label=_("From round"), min_value=1, initial=1)


class Withdraw(WithReason, AboutAthlete):
    heading = _("Takes no more trials")
    says = _("What was jumped stands and is placed. A place reached at the cut is held, nobody moves up into it.")
    done = _("No more trials for this athlete.")
    action = staticmethod(actions.withdraw)
    reason_needed = False


class Disqualify(WithReason, AboutAthlete):
    heading = _("Disqualify")
    says = _(
        "No mark of this event stands and those below move up. Cuts that were taken are not replayed. "
        "Everybody reads the reason in the result: name the rule, nothing personal."
    )
    button = _("Disqualify")
    done = _("Disqualified.")
    stern = True
    action = staticmethod(actions.disqualify)


class ShowCard(WithReason, AboutAthlete):
    heading = _("Show a card")
    says = _("A second yellow card is a red one, and red is a disqualification.")
    done = _("The card is in the log.")
    action = staticmethod(actions.show_card)

    colour = forms.ChoiceField(
        label=_("Card"), choices=[("yellow", _("yellow")), ("red", _("red"))], widget=forms.RadioSelect
    )


class SetBoard(AboutAthlete):
    heading = _("Another board")
    says = _(
        "From the next trial on; earlier trials keep theirs. The qualified official at the pit decides "
        "whether the board is safe for this athlete."
    )
    done = _("The board is set.")
    action = staticmethod(actions.set_board)

    board_cm = MetresField(label=_("Board, metres from the sand"), shortest_cm=50, longest_cm=2000)

    def standing(self) -> Standing:
        boards = {entry.line.entry: entry.board_cm for entry in self.page.state.entries}
        return {self._board_of(person): metres(boards.get(key) or 0) for key, person in self.page.people.items()}

    def concerning(self, changed: Standing) -> Standing:
        person = self.page.people.get(str(self.cleaned_data.get("entry")))
        name = self._board_of(person) if person else ""
        return {name: changed[name]} if name in changed else {}

    @staticmethod
    def _board_of(person: Person) -> str:
        return gettext("Board of bib %(bib)s in metres") % {"bib": person.bib}


class ConfirmAdded(WithReason, AboutAthlete):
    heading = _("Confirm an athlete added at the pit")
    says = _("School, age and limits are in order: from now on an entry like any other, with place and points.")
    done = _("Confirmed.")
    reason_needed = False

    born = forms.DateField(
        label=_("Date of birth"), required=False, widget=DateInput,
        help_text=_("Ask the school where it is not known yet. For the age group only; other schools never see it."),
    )  # fmt: skip

    @staticmethod
    @transaction.atomic
    def action(*, event_id: int, entry: Entry, born: date | None, by: str, now: datetime, **said: object) -> object:
        """Raises Refusal, also for a date of birth that is too old for the event."""
        if born is not None:
            try:
                correct_athlete(athlete=entry.athlete, changes={"born": born}, by=by, now=now)
            except ValidationError as problem:
                raise Refusal(" ".join(problem.messages)) from problem
        return actions.confirm_added(entry=entry, by=by, now=now, **said)

    def clean(self) -> dict[str, object]:
        said = super().clean()
        entry = self.page.event.entries.filter(pk=said.get("entry") or 0).select_related("athlete").first()
        if entry and entry.athlete.born is None and not said.get("born") and not (said.get("reason") or "").strip():
            says = gettext(
                "The date of birth of %(name)s is not known, so nobody can say whether they are of this age group. "
                "Ask the school for it; or confirm without it, and give the reason."
            )
            self.add_error("born" if "born" not in self.errors else None, says % {"name": entry.athlete})
        return said

    def people(self) -> Iterator[Person]:
        pending = {entry.line.entry for entry in self.page.state.entries if entry.pending}
        return (person for person in super().people() if person.entry in pending)

    def asked(self) -> dict[str, object]:
        entry = self.page.event.entries.get(pk=self.cleaned_data["entry"])
        return {name: self.cleaned_data[name] for name in ("born", "reason")} | {"entry": entry}


class CallIn(WithReason, AboutAthlete):
    heading = _("Call in after the cut")
    says = _(
        "A correction shows that the cut left somebody out wrongly: the referee gives the further trials now. "
        "The cut itself stays as it was taken."
    )
    done = _("Called in.")
    action = staticmethod(actions.call_in)

    round = forms.IntegerField(label=_("From round"), min_value=2)


class DisregardTrials(WithReason, AboutAthlete):
    heading = _("Trials that do not count")
    says = _("By the referee's decision trials of this athlete from a round on do not count; they stay in the log.")
    done = _("These trials do not count.")
    stern = True
    action = staticmethod(actions.disregard_trials)

    round = forms.IntegerField(label=_("From round"), min_value=1)


BY_NAME: dict[str, type[Decision]] = {
    "leave": Leave,
    "back": ComeBack,
    "late": JoinLate,
    "withdraw": Withdraw,
    "disqualify": Disqualify,
    "card": ShowCard,
    "board": SetBoard,
    "confirm": ConfirmAdded,
    "call-in": CallIn,
    "disregard": DisregardTrials,
}
