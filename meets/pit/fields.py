"""Form fields of the pit: lengths in metres as people say them, reasons from the usual ones or written."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from meets.entries.values import Unclear, read_board
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
