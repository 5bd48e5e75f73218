"""What the desk is asked about codes and about entries that wait."""

from collections.abc import Sequence

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from meets.desk.phones.proposal import USUAL, Offer
from meets.desk.phones.words import pit_said
from meets.models import Event, Meet, Role
from meets.pit.keys.actions import Wanted

LARGEST_FILE = 5 * 1024 * 1024


class CodesForm(forms.Form):
    """Usual codes by session, and one code more for any place with any roles. `once` names this page."""

    once = forms.CharField(widget=forms.HiddenInput, max_length=40)
    where = forms.ChoiceField(label=_("For"), required=False)
    roles = forms.MultipleChoiceField(
        label=_("Roles on this one phone"), choices=Role.choices, required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args, meet: Meet, offers: Sequence[Offer], **kwargs):
        super().__init__(*args, **kwargs)
        self.offers = offers
        self.events: dict[str, Event] = {f"event_{event.pk}": event for event in meet.events.all()}
        self.sessions = {f"session_{offer.session.pk}": offer.session for offer in offers}
        said = {name: f"{pit_said(session)}: {session.name}" for name, session in self.sessions.items()}
        self.fields["where"].choices = [
            ("", _("nobody else")),
            (_("Sessions"), list(said.items())),
            (_("Events, wherever they are held"), [(name, event.name) for name, event in self.events.items()]),
        ]
        for offer in offers:
            for usual in USUAL:
                label = _("%(role)s, %(session)s") % {
                    "role": usual.title,
                    "session": said[f"session_{offer.session.pk}"],
                }
                self.fields[name_of(offer, usual.name)] = forms.BooleanField(
                    label=label, required=False, initial=usual.name in offer.proposed
                )

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        if cleaned.get("where") and not cleaned.get("roles"):
            raise ValidationError(_("Tick the roles of the code that is made beside the usual ones."))
        if cleaned.get("roles") and not cleaned.get("where"):
            raise ValidationError(_("Choose for which session or event the code beside the usual ones is."))
        if not self.errors and not self.wanted():
            raise ValidationError(_("Tick the codes that are to be made."))
        return cleaned

    def wanted(self) -> list[Wanted]:
        """Session by session, so that the cards of a crew lie together."""
        found = [
            Wanted(offer.session, tuple(usual.roles))
            for offer in self.offers
            for usual in USUAL
            if self.cleaned_data.get(name_of(offer, usual.name))
        ]
        if where := self.cleaned_data.get("where"):
            found.append(Wanted(self.sessions.get(where) or self.events[where], tuple(self.cleaned_data["roles"])))
        return found


def name_of(offer: Offer, usual: str) -> str:
    return f"code_{offer.session.pk}_{usual}"


class SettleForm(forms.Form):
    """What becomes of an entry that waits, and why."""

    do = forms.ChoiceField(choices=[])
    reason = forms.CharField(
        label=_("Reason"),
        max_length=200,
        error_messages={"required": _("Write the reason: it is kept with the decision.")},
    )

    def __init__(self, *args, choices: Sequence[str], **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["do"].choices = [(name, name) for name in choices]

    @property
    def says(self) -> str:
        """What is wrong, in one line."""
        return " ".join(str(error) for errors in self.errors.values() for error in errors)


class OutboxForm(forms.Form):
    """The file that a phone saved when it could not send."""

    file = forms.FileField(
        label=_("File of the phone"),
        help_text=_("Saved on the phone with “Save the entries as a file”. It may be brought in as often as you like."),
    )

    def clean_file(self) -> str:
        file = self.cleaned_data["file"]
        if file.size > LARGEST_FILE:
            raise ValidationError(_("This file is larger than 5 MB; the file of a phone never is. Choose another."))
        try:
            return file.read().decode()
        except UnicodeDecodeError as problem:
            raise ValidationError(_("This is no file of a phone: text is expected in it.")) from problem
