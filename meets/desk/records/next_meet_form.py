"""The meet that the best of this one go on to."""

from django import forms
from django.utils.translation import gettext_lazy as _

from meets.desk.fields import DateInput
from meets.desk.records import standards_reads as reads
from meets.entries.seen import SeenModel
from meets.models import NextMeet


class NextMeetForm(SeenModel, forms.ModelForm):
    class Meta:
        model = NextMeet
        fields = ("name", "date", "venue", "places", "standard", "reply_by", "reply_to")
        labels = {
            "name": _("Name"),
            "date": _("Date"),
            "venue": _("Where"),
            "places": _("Places of each event that qualify"),
            "standard": _("Standard that qualifies"),
            "reply_by": _("Schools answer by"),
            "reply_to": _("Answers go to"),
        }
        help_texts = {
            "places": _("Whoever shares the last of them qualifies too. 0: nobody by place."),
            "standard": _("Whoever has reached it qualifies, whatever the place."),
            "reply_to": _("An e-mail address; it stands in the packs of the schools."),
        }
        widgets = {
            "date": DateInput,
            "reply_by": DateInput,
            "places": forms.NumberInput(attrs={"class": "short", "min": 0}),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        choices = reads.standard_names(self.instance.meet)
        there = self.instance.standard
        if there and there not in dict(choices):
            choices.append((there, _("%(name)s (no standard of this meet any more)") % {"name": there}))
        self.fields["standard"] = forms.ChoiceField(
            label=self.fields["standard"].label,
            help_text=self.fields["standard"].help_text,
            choices=choices,
            required=False,
        )

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        day, reply_by, held = cleaned.get("date"), cleaned.get("reply_by"), self.instance.meet.date
        if day and day <= held:
            self.add_error("date", _("The next meet comes after this one, on %(day)s.") % {"day": f"{held:%-d %B %Y}"})
        if day and reply_by and reply_by > day:
            self.add_error("reply_by", _("That is after the next meet itself."))
        if not self.errors and not cleaned.get("places") and not cleaned.get("standard"):
            self.add_error("places", _("Say how one qualifies: by a number of places, by a standard, or by both."))
        return cleaned
