from collections.abc import Iterable

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.desk.start import reads
from meets.entries.seen import Seen, Standing
from meets.models import Event

ANSWERS = [("here", _("Here")), ("not", _("Not here"))]


class CheckInForm(forms.Form):
    """Here or not here for every athlete; who is not yet asked stays so.

    What each answer was when the page was opened is sent along: only an answer that was changed is stored, so that
    a page left open undoes nothing.
    """

    def __init__(self, *args, lines: Iterable[reads.CheckInLine], **kwargs):
        super().__init__(*args, **kwargs)
        self.lines = list(lines)
        for line in self.lines:
            label = _("Bib %(bib)s, %(name)s") % {"bib": line.person.bib, "name": line.person.name}
            self.fields[self.name_of(line)] = forms.ChoiceField(
                label=label, choices=ANSWERS, required=False, initial=line.here, widget=forms.RadioSelect
            )
            self.fields[self.was_of(line)] = forms.CharField(
                required=False, initial=line.here, widget=forms.HiddenInput
            )

    @staticmethod
    def name_of(line: reads.CheckInLine) -> str:
        return f"here_{line.person.entry}"

    @staticmethod
    def was_of(line: reads.CheckInLine) -> str:
        return f"was_{line.person.entry}"

    def rows(self) -> list[tuple[reads.CheckInLine, forms.BoundField, forms.BoundField]]:
        return [(line, self[self.name_of(line)], self[self.was_of(line)]) for line in self.lines]

    def answered(self, answer: str) -> list[str]:
        return [
            line.person.entry
            for line in self.lines
            if self.cleaned_data.get(self.name_of(line)) == answer != self.cleaned_data.get(self.was_of(line))
        ]


class DrawForm(Seen, forms.Form):
    method = forms.ChoiceField(label=_("How"), widget=forms.RadioSelect)
    seed = forms.IntegerField(
        label=_("Seed"),
        required=False,
        min_value=0,
        max_value=2**31 - 1,
        help_text=_("The number that the lot starts from; the same one makes the same draw. Empty: a new one."),
        widget=forms.NumberInput(attrs={"class": "short"}),
    )

    def __init__(self, *args, event: Event, page: reads.Draw, **kwargs):
        super().__init__(*args, **kwargs)
        self.page = page
        methods = reads.draw_methods(event)
        self.fields["method"].choices = methods
        self.fields["method"].initial = methods[0][0]

    def standing(self) -> Standing:
        return {gettext("Start list, version"): str(self.page.version)}
