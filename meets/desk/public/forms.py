from django import forms
from django.utils.translation import gettext_lazy as _

from athletes.models import Athlete
from meets.desk.public.reads import athletes_of
from meets.entries.seen import SeenModel
from meets.models import Meet


class AthletesField(forms.ModelMultipleChoiceField):
    def label_from_instance(self, athlete: Athlete) -> str:
        return f"{athlete.last_name}, {athlete.first_name} ({athlete.school.code})"


class PublicForm(SeenModel, forms.ModelForm):
    """Whether everybody sees the meet, how much of names, and whose name is never shown."""

    not_shown = AthletesField(
        label=_("Shown by bib and school only"),
        queryset=Athlete.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("For whoever does not want to be named. It holds in every meet."),
    )

    class Meta:
        model = Meet
        fields = ("is_public", "public_names")
        widgets = {"public_names": forms.RadioSelect}
        labels = {"is_public": _("Show this meet to the public"), "public_names": _("Names")}
        help_texts = {
            "is_public": _("Anybody who has the address then sees start lists, the live board and published results."),
            "public_names": _(
                "Show no more than the families have agreed to: ask each school whether it has their consent. "
                "Birth dates are never shown."
            ),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        known = athletes_of(self.instance)
        self.fields["not_shown"].queryset = known
        self.initial["not_shown"] = [athlete.pk for athlete in known if athlete.not_public]

    def standing(self) -> dict[str, str]:
        ticked = set(self.initial["not_shown"])
        names = [str(athlete) for athlete in self.fields["not_shown"].queryset if athlete.pk in ticked]
        own = {
            str(field.label): str(self.get_initial_for_field(field, name))
            for name, field in self.fields.items()
            if name in self.Meta.fields
        }
        return {**own, str(self.fields["not_shown"].label): ", ".join(names)}
