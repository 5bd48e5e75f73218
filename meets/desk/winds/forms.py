import re

from django import forms
from django.utils.translation import gettext_lazy as _

FIELD = re.compile(r"wind_(?P<entry>[0-9]+)_(?P<round>[0-9]+)_[0-9]+")


class WindsForm(forms.Form):
    """The readings that are still owed; what is left empty stays owed."""

    def __init__(self, *args, owed, people, **kwargs):
        super().__init__(*args, **kwargs)
        self.people = people
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

    def clean(self) -> dict[str, object]:
        """A reading typed here for a turn that has one by now is said, not dropped."""
        super().clean()
        for name, typed in self.data.items():
            found = FIELD.fullmatch(name)
            if found and typed.strip() and name not in self.fields:
                person = self.people.get(found["entry"])
                self.add_error(
                    None,
                    _(
                        "Bib %(bib)s, round %(round)s has a wind by now; the %(typed)s typed here is not stored. "
                        "Look at the trial and correct it there."
                    )
                    % {"bib": person.bib if person else "?", "round": found["round"], "typed": typed},
                )
        return self.cleaned_data

    @staticmethod
    def name_of(turn) -> str:
        return f"wind_{turn.entry}_{turn.round}_{turn.replacement}"

    @property
    def names(self) -> str:
        return " ".join(self.name_of(turn) for _person, turn in self.owed)

    def typed(self) -> list[tuple[object, str]]:
        """What was typed, or NWI where there was no gauge: for everything that was owed when the page was opened."""
        if "none" in self.data:
            meant = self.data["none"].split()
            return [(turn, "NWI") for _person, turn in self.owed if self.name_of(turn) in meant]
        return [
            (turn, self.cleaned_data[self.name_of(turn)])
            for _person, turn in self.owed
            if self.cleaned_data.get(self.name_of(turn))
        ]
