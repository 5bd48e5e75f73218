"""A form field to choose one athlete of an event."""

from collections.abc import Iterable

from django import forms
from django.utils.translation import gettext_lazy as _

from meets.running.reads import Person


def person_choices(people: Iterable[Person]) -> list[tuple[str, str]]:
    return [(person.entry, f"{person.bib}  {person.name}, {person.school}") for person in people]


class AthleteField(forms.ChoiceField):
    """One athlete of the event, chosen by bib and name."""

    def __init__(self, people: Iterable[Person], **kwargs):
        kwargs.setdefault("label", _("Athlete"))
        super().__init__(choices=[("", _("choose")), *person_choices(people)], **kwargs)
