from datetime import datetime

from django import forms
from django.utils.translation import gettext_lazy as _


class PostedForm(forms.Form):
    """When a result is posted, as a time of today; without it the sheet has blanks to fill in by hand."""

    posted = forms.TimeField(
        label=_("Posted at"), required=False, widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"})
    )

    def posted_at(self, now: datetime) -> datetime | None:
        """The moment on the day of `now`, in its zone."""
        time = self.cleaned_data["posted"]
        return now.replace(hour=time.hour, minute=time.minute, second=0, microsecond=0) if time else None
