"""Form fields of record books: marks in the book's unit and winds, typed as people write them."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from meets.entries.values import Wrong, read_mark, read_wind
from scoring.marks import Unit, show_mark
from scoring.wind import Wind, show_wind

SHORT = {"class": "short", "autocomplete": "off", "inputmode": "decimal"}


class MarkField(forms.CharField):
    """A mark as an integer in its unit."""

    def __init__(self, *, unit: Unit = Unit.CM, longest_cm: int, **kwargs):
        self.unit, self.longest_cm = unit, longest_cm
        super().__init__(widget=forms.TextInput(attrs=SHORT), **kwargs)

    def prepare_value(self, value):
        return show_mark(value, self.unit) if isinstance(value, int) else value

    def to_python(self, value):
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        try:
            return read_mark(text, self.unit, self.longest_cm)
        except Wrong as problem:
            raise ValidationError(_sentence(problem)) from problem


class WindField(forms.CharField):
    """A wind in tenths; empty or NWI where nothing is known."""

    def __init__(self, **kwargs):
        kwargs.setdefault("help_text", _("With its sign, for example +1.4; empty where it is not known."))
        super().__init__(required=False, widget=forms.TextInput(attrs={**SHORT, "inputmode": "text"}), **kwargs)

    def prepare_value(self, value):
        return show_wind(Wind(value)) if isinstance(value, int) else value

    def to_python(self, value):
        text = super().to_python(value)
        try:
            return read_wind(text)
        except Wrong as problem:
            raise ValidationError(_sentence(problem)) from problem


def _sentence(problem: Wrong) -> str:
    says = str(problem)
    return says[:1].upper() + says[1:]
