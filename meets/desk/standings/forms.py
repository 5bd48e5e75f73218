from django import forms
from django.utils.translation import gettext_lazy as _

from athletes.models import School
from meets.models import Meet, Penalty


class PenaltyForm(forms.ModelForm):
    """Points taken from a school: a line of its own in the standings."""

    class Meta:
        model = Penalty
        fields = ("school", "points", "reason")
        labels = {"school": _("School"), "points": _("Points taken away"), "reason": _("Reason")}
        help_texts = {"reason": _("Everybody reads it below the published team standings.")}
        widgets = {"points": forms.NumberInput(attrs={"class": "short", "min": 1})}

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["school"].queryset = School.objects.filter(athletes__entries__event__meet=meet).distinct()


class TakeBackForm(forms.Form):
    reason = forms.CharField(
        label=_("Reason"), max_length=200, help_text=_("It is kept with the penalty, your name and the time.")
    )
