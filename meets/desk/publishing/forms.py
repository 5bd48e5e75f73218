from django import forms
from django.utils.translation import gettext_lazy as _

from meets.desk.publishing.reads import EventResult
from meets.publishing.actions import Seen

WORDS = {
    "provisional": _("provisional: the time for protests starts now"),
    "official": _("official"),
    "amended": _("amended"),
}


class PublishForm(forms.Form):
    """The next version of one result. What was seen goes with it."""

    status = forms.ChoiceField(label=_("Publish it as"), widget=forms.RadioSelect)
    reason = forms.CharField(
        label=_("Reason"), max_length=200, required=False,
        help_text=_("Everybody reads it beside the new version. A changed result needs one."),
    )  # fmt: skip
    referee = forms.CharField(
        label=_("The referee says so now"), max_length=80, required=False,
        help_text=_("Name of the referee, to make it official before the time for protests is over."),
    )  # fmt: skip
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    log_version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    def __init__(self, *args, page: EventResult, **kwargs):
        before = page.standing.before
        initial = {
            "status": page.statuses[0],
            "version": before.version if before else 0,
            "log_version": page.standing.log_version,
        }
        super().__init__(*args, initial=initial, **kwargs)
        self.fields["status"].choices = [(status, WORDS[status]) for status in page.statuses]
        if before is None:
            del self.fields["reason"]
        elif page.statuses == ("amended",):
            self.fields["reason"].required = True
        if "official" not in page.statuses:
            del self.fields["referee"]

    @property
    def seen(self) -> Seen:
        return Seen(self.cleaned_data["version"], self.cleaned_data["log_version"])


class PublishAllForm(forms.Form):
    """Everything that can be published, in one go."""

    reason = forms.CharField(
        label=_("Reason, where a published result has changed"), max_length=200, required=False,
        help_text=_("Everybody reads it beside the new version."),
    )  # fmt: skip


class StepForm(PublishAllForm):
    """The next event of a run through all of them."""

    event = forms.IntegerField(widget=forms.HiddenInput)


class TeamsForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
