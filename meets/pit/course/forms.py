"""What is asked when the referee changes how an event goes on."""

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.pit.course.reads import CoursePage
from meets.pit.fields import BibsField

FOR_THE_LOG = _("Write the reason: it is kept in the log and stands on the sheet.")


class CourseForm(forms.Form):
    """Whose decision it is, and why."""

    referee = forms.CharField(
        label=_("Referee"),
        max_length=80,
        error_messages={"required": _("Write the referee's name: it is their decision.")},
    )
    reason = forms.CharField(label=_("Reason"), max_length=200, error_messages={"required": FOR_THE_LOG})

    field_order = ("flight", "pit", "round", "order", "last_round", "rounds_counted", "reason", "referee")

    def __init__(self, *args, page: CoursePage, **kwargs):
        self.page = page
        super().__init__(*args, **kwargs)

    def said(self) -> dict[str, object]:
        """The decision as the function that takes it wants it."""
        return {name: value for name, value in self.cleaned_data.items() if name != "referee"}


class JoinForm(CourseForm):
    round = forms.TypedChoiceField(label=_("From round"), coerce=int)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["round"].choices = [(n, str(n)) for n in self.page.next_rounds]
        order = [entry for flight in self.page.flights for entry in flight]
        says = gettext("As it stands: one flight behind the other. Change it if it is to be another.")
        bibs = BibsField(self.page.people, label=gettext("Order, by bib"), initial=order, help_text=says)
        bibs.widget = forms.Textarea(attrs={"rows": 3})
        self.fields["order"] = bibs
        self.order_fields(self.field_order)

    def clean_order(self) -> list[str]:
        """Whoever is left out would jump first, without anybody having said so."""
        order = self.cleaned_data["order"]
        missing = [person.bib for key, person in self.page.people.items() if key in self.page.to_jump - {*order}]
        if missing:
            says = gettext("The order leaves out who still has a turn. Bibs left out: %(bibs)s.")
            raise forms.ValidationError(says % {"bibs": ", ".join(missing)})
        return order


class MoveForm(CourseForm):
    flight = forms.TypedChoiceField(label=_("Flight"), coerce=int)
    pit = forms.ChoiceField(label=_("Goes on at"))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["flight"].choices = [(n, str(n)) for n in range(1, len(self.page.flights) + 1)]
        self.fields["pit"].choices = [(pit, pit) for pit in self.page.pits]


class ShortenForm(CourseForm):
    last_round = forms.TypedChoiceField(label=_("Last round"), coerce=int)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["last_round"].choices = [(n, str(n)) for n in self.page.may_end_after]


class AbandonForm(CourseForm):
    rounds_counted = forms.TypedChoiceField(label=_("Rounds that count"), required=False, coerce=int, empty_value=None)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        numbers = [(n, str(n)) for n in range(self.page.completed + 1)]
        self.fields["rounds_counted"].choices = [("", gettext("by the rule")), *numbers]
