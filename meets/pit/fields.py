"""Form fields of the pit: lengths in metres as people say them, bibs in order, reasons chosen or written."""

from collections.abc import Mapping

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from meets.entries.values import Unclear, read_board
from meets.running.reads import Person
from scoring.marks import Unit


class MetresField(forms.CharField):
    """A length typed in metres (`9`, `9.02`, `9,5`), given as cm."""

    def __init__(self, **kwargs):
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal", "class": "short"}))
        super().__init__(**kwargs)

    def to_python(self, value):
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        try:
            return read_board(text, Unit.CM)
        except Unclear as unclear:
            raise ValidationError(str(unclear)) from unclear


class BibsField(forms.CharField):
    """Bibs in order with spaces between, as an order is read out; gives entry keys."""

    def __init__(self, people: Mapping[str, Person], **kwargs):
        self.people = people
        super().__init__(**kwargs)

    def prepare_value(self, value):
        if isinstance(value, list | tuple):
            return " ".join(self.people[key].bib for key in value if key in self.people)
        return value

    def to_python(self, value):
        by_bib = {person.bib.lower(): key for key, person in self.people.items()}
        typed = super().to_python(value).replace(",", " ").split()
        unknown = [bib for bib in typed if bib.lower() not in by_bib]
        if unknown:
            raise ValidationError(
                _("No athlete of this event has the bib %(bibs)s. Bibs of the event: %(known)s."),
                "unknown",
                {"bibs": ", ".join(unknown), "known": ", ".join(person.bib for person in self.people.values())},
            )
        return [by_bib[bib.lower()] for bib in typed]


class ReasonForm(forms.Form):
    """A reason, chosen from the usual ones or written."""

    usual_reasons: tuple[str, ...] = ()
    reason_needed = True

    usual = forms.CharField(required=False, max_length=200)
    reason = forms.CharField(label=_("Reason"), required=False, max_length=200)

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        cleaned["reason"] = cleaned.get("reason") or cleaned.pop("usual", "")
        cleaned.pop("usual", None)
        if self.reason_needed and not cleaned["reason"] and not self.errors:
            self.add_error("reason", _("Choose or write the reason: it is kept in the log."))
        return cleaned
