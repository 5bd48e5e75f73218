"""Decisions about one athlete: away and back, late, out, cards, board."""

from collections.abc import Iterator

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.desk.decide.decision import AboutAthlete, Decision, WithReason
from meets.desk.fields import MetresField, metres
from meets.entries.seen import Standing
from meets.running import actions
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
    says = _("No mark of this event stands and those below move up. Cuts that were taken are not replayed.")
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
    action = staticmethod(lambda *, event_id, **asked: actions.confirm_added(**asked))
    reason_needed = False

    def people(self) -> Iterator[Person]:
        pending = {entry.line.entry for entry in self.page.state.entries if entry.pending}
        return (person for person in super().people() if person.entry in pending)

    def asked(self) -> dict[str, object]:
        entry = self.page.event.entries.get(pk=self.cleaned_data["entry"])
        return {"entry": entry, "reason": self.cleaned_data["reason"]}


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
