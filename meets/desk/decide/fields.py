"""Form fields that speak of the athletes of one event by their bibs."""

from collections.abc import Iterable, Mapping

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from meets.running.reads import Person


def person_choices(people: Iterable[Person]) -> list[tuple[str, str]]:
    return [(person.entry, f"{person.bib}  {person.name}, {person.school}") for person in people]


class AthleteField(forms.ChoiceField):
    """One athlete of the event, chosen by bib and name."""

    def __init__(self, people: Iterable[Person], **kwargs):
        kwargs.setdefault("label", _("Athlete"))
        super().__init__(choices=[("", _("choose")), *person_choices(people)], **kwargs)


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
