from zoneinfo import ZoneInfo

from django import forms
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from meets.desk.fields import DateInput, DateTimeInput
from meets.desk.meet import reads
from meets.desk.rules.agreeing import Agreeing
from meets.desk.rules.misfits import misfits_with
from meets.entries.seen import SeenModel
from meets.models import Meet


def in_words(choice: reads.Choice) -> str:
    """The name of a choice, and under it what it says."""
    return format_html('<strong>{}</strong> <span class="quiet">{}</span>', choice.name, choice.says)


class MeetForm(SeenModel, Agreeing, forms.ModelForm):
    """A meet's own settings. Its deadline is a time on the clock of the meet's own zone."""

    time_zone = forms.ChoiceField(
        label=_("Time zone"), choices=reads.time_zone_choices, help_text=_("Every time of the meet is shown in it.")
    )
    rule_set = forms.ChoiceField(
        label=_("Rule set"),
        initial="international",
        widget=forms.RadioSelect,
        choices=lambda: [(c.key, in_words(c)) for c in reads.rule_set_choices()],
        help_text=_("Single rules can be changed afterwards, for the meet or for one event."),
    )
    age_scheme = forms.ChoiceField(
        label=_("Age groups"),
        widget=forms.RadioSelect,
        choices=lambda: [(c.key, in_words(c)) for c in reads.age_scheme_choices()],
    )
    deadline = forms.DateTimeField(
        label=_("Entries close"),
        required=False,
        widget=DateTimeInput,
        help_text=_("On the clock of the time zone above."),
    )

    class Meta:
        model = Meet
        fields = (
            "name", "date", "venue", "time_zone", "unit", "rule_set", "age_scheme", "age_date", "paper",
            "schools_in_match",
        )  # fmt: skip
        widgets = {
            "date": DateInput,
            "age_date": DateInput,
            "unit": forms.RadioSelect,
            "paper": forms.RadioSelect,
            "schools_in_match": forms.NumberInput(attrs={"class": "short", "min": 1}),
        }
        labels = {
            "name": _("Name"),
            "date": _("Date"),
            "venue": _("Venue"),
            "unit": _("Unit"),
            "age_date": _("Ages are taken on"),
            "paper": _("Paper"),
            "schools_in_match": _("Schools in the match"),
        }
        help_texts = {
            "unit": _("Marks are measured, ranked and kept in this unit."),
            "age_date": _("Leave empty for the date that the age groups have by themselves."),
            "schools_in_match": _("Only where points depend on it. Empty: as many as send somebody."),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        meet = self.instance
        if meet.pk is None:
            self.initial.setdefault("time_zone", timezone.get_current_timezone_name())
            return
        if meet.entry_deadline:
            zone = ZoneInfo(meet.time_zone)
            self.initial["deadline"] = timezone.make_naive(meet.entry_deadline, zone)
        if reads.has_trials(meet):
            self._fix("unit", _("Fixed: trials have been recorded in it."))
            self._fix("rule_set", _("Fixed: trials have been recorded. The referee can change a rule for one event."))
        elif reads.has_seeds(meet):
            self._fix("unit", _("Fixed: seed marks have been entered in it."))
        elif reads.has_standards(meet):
            self._fix("unit", _("Fixed: standards have been given in it."))

    def _fix(self, name: str, why: str) -> None:
        self.fields[name].disabled = True
        self.fields[name].help_text = why

    def clean_age_scheme(self) -> str:
        key = self.cleaned_data["age_scheme"]
        strange = reads.events_without_group(self.instance, key) if self.instance.pk else []
        if strange:
            raise forms.ValidationError(
                _("These events have an age group that is not among these: %(events)s. Remove them first.")
                % {"events": ", ".join(strange)}
            )
        return key

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        name, date = cleaned.get("name"), cleaned.get("date")
        if name and date and reads.is_held(name, date, but=self.instance):
            self.add_error("name", _("There is a meet of this name on that day already. Give this one another name."))
        deadline, zone = cleaned.get("deadline"), cleaned.get("time_zone")
        if deadline and zone:
            # What was typed is the clock of the meet's zone, whatever zone the page was read in.
            self.instance.entry_deadline = timezone.make_naive(deadline).replace(tzinfo=ZoneInfo(zone))
        else:
            self.instance.entry_deadline = None
        rule_set = cleaned.get("rule_set")
        if self.instance.pk and rule_set and rule_set != self.initial["rule_set"] and not self.errors:
            changes = self.instance.rule_changes
            self.ask_about(misfits_with(self.instance, rule_set=rule_set, rule_changes=changes))
        return cleaned
