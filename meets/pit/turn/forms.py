"""Putting a turn right: corrected, moved to the body that jumped, a replacement trial, taken back."""

from django import forms
from django.utils.translation import gettext_lazy as _

from meets.pit.fields import ReasonForm
from meets.running import actions


class PutRight(ReasonForm):
    heading = ""
    says = ""
    button = ""
    done = ""
    action = None

    def asked(self) -> dict[str, object]:
        return dict(self.cleaned_data)


class Correct(PutRight):
    """What the trial is instead comes as a draft beside this form."""

    heading = _("It was written wrongly")
    button = _("Correct")
    done = _("Corrected. The old row is kept.")
    usual_reasons = (_("misheard"), _("digits swapped"), _("wrong flag written"), _("the judge reconsidered"))


class Move(PutRight):
    heading = _("Somebody else jumped")
    says = _("A trial belongs to the body that jumped: the turn of this bib is open again.")
    button = _("Move the trial")
    done = _("Moved. The first bib's turn is open again.")
    usual_reasons = (_("wrong bib"), _("jumped out of order"))
    action = staticmethod(actions.move_trial)

    to_entry = forms.ChoiceField(label=_("Who jumped"))

    def __init__(self, *args, people=(), **kwargs):
        super().__init__(*args, **kwargs)
        choices = [(person.entry, f"{person.bib}  {person.name}, {person.school}") for person in people]
        self.fields["to_entry"].choices = [("", _("Choose the bib")), *choices]


class Replace(PutRight):
    heading = _("The referee gives a replacement trial")
    says = _("The old trial is kept and does not count. The new one is taken before any other.")
    button = _("Give a replacement trial")
    done = _("A replacement trial is given.")
    usual_reasons = (_("hampered"), _("raked before it was measured"), _("the tape slipped"), _("wrong board shown"))
    action = staticmethod(actions.give_replacement)


class TakeBack(PutRight):
    heading = _("Nobody jumped: it was typed by mistake")
    says = _("The turn is open again; the row is kept.")
    button = _("Take it back")
    done = _("Taken back. The turn is open again.")
    usual_reasons = (_("typed twice"), _("wrong button"))
    action = staticmethod(actions.void_trial)


FORMS: dict[str, type[PutRight]] = {"correct": Correct, "move": Move, "replace": Replace, "take-back": TakeBack}
