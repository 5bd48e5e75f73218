from django import forms
from django.utils.translation import gettext_lazy as _


class WindsForm(forms.Form):
    """The readings that are still owed; what is left empty stays owed."""

    def __init__(self, *args, owed, **kwargs):
        super().__init__(*args, **kwargs)
        # By round, as a wind list on paper is.
        self.owed = sorted(owed, key=lambda one: one[1].round)
        for person, turn in self.owed:
            label = _("Wind of bib %(bib)s, round %(round)d") % {"bib": person.bib, "round": turn.round}
            self.fields[self.name_of(turn)] = forms.CharField(
                label=label,
                required=False,
                max_length=8,
                widget=forms.TextInput(
                    attrs={"class": "short", "aria-label": label, "autocomplete": "off", "placeholder": "+1.4"}
                ),
            )

    @staticmethod
    def name_of(turn) -> str:
        return f"wind_{turn.entry}_{turn.round}_{turn.replacement}"

    def typed(self) -> list[tuple[object, str]]:
        """What was typed, or NWI for everything that is owed where there was no gauge."""
        if "none" in self.data:
            return [(turn, "NWI") for _person, turn in self.owed]
        return [
            (turn, self.cleaned_data[self.name_of(turn)])
            for _person, turn in self.owed
            if self.cleaned_data.get(self.name_of(turn))
        ]
