from django import forms
from django.utils.translation import gettext as say
from django.utils.translation import gettext_lazy as _

from meets.desk.packs.reads import events_published, schools_entered
from meets.models import Meet
from meets.publishing.packs.awards import Wanted
from meets.sheets.for_schools import USUAL_LABELS, LabelSheet

MOST_PLACES = 50


class CertificatesForm(forms.Form):
    """Which certificates are printed; the same choice serves labels. An address without a choice has the usual one."""

    places = forms.IntegerField(
        label=_("Places of each event"), min_value=0, max_value=MOST_PLACES, initial=3,
        help_text=_("0: no certificates for places."), widget=forms.NumberInput(attrs={"class": "short"}),
    )  # fmt: skip
    standards = forms.BooleanField(label=_("Standards reached"), required=False)
    bests = forms.BooleanField(label=_("Personal bests"), required=False)
    provisional = forms.BooleanField(
        label=_("Provisional results too"), required=False,
        help_text=_("They say that the result may still change. Without this only official and amended results count."),
    )  # fmt: skip
    events = forms.ModelMultipleChoiceField(
        queryset=None, label=_("Events"), required=False, widget=forms.CheckboxSelectMultiple,
        help_text=_("None ticked: all of them."),
    )  # fmt: skip
    schools = forms.ModelMultipleChoiceField(
        queryset=None, label=_("Schools"), required=False, widget=forms.CheckboxSelectMultiple,
        help_text=_("None ticked: all of them."),
    )  # fmt: skip

    def __init__(self, data=None, *, meet: Meet):
        super().__init__(data)
        self.fields["events"].queryset = events_published(meet)
        self.fields["schools"].queryset = schools_entered(meet)

    @classmethod
    def asked(cls, query, meet: Meet):
        """What an address asks for; without a query the usual."""
        usual = cls(meet=meet)
        return cls(
            query or {name: usual.get_initial_for_field(field, name) for name, field in usual.fields.items()}, meet=meet
        )

    def wanted(self) -> Wanted:
        chosen = self.cleaned_data
        return Wanted(
            places=chosen["places"],
            standards=chosen["standards"],
            bests=chosen["bests"],
            provisional=chosen["provisional"],
            events=[event.pk for event in chosen["events"]],
            schools=[school.pk for school in chosen["schools"]],
        )


class LabelsForm(CertificatesForm):
    """Labels for the chosen certificates, or one for each school, on sheets of a given size in mm."""

    FOR = (("athletes", _("one for each certificate")), ("schools", _("one for each school, for envelopes")))
    label_for = forms.ChoiceField(label=_("Labels"), choices=FOR, initial="athletes")
    skip = forms.IntegerField(label=_("Labels used already"), min_value=0, max_value=500, initial=0)

    def __init__(self, data=None, *, meet: Meet):
        super().__init__(data, meet=meet)
        self.paper = paper = meet.paper
        for name, label, step in (
            ("width", _("Width"), 0.1),
            ("height", _("Height"), 0.1),
            ("columns", _("Labels across"), 1),
            ("rows", _("Labels down"), 1),
            ("left", _("Left margin"), 0.1),
            ("top", _("Top margin"), 0.1),
            ("gap_across", _("Gap across"), 0.1),
            ("gap_down", _("Gap down"), 0.1),
        ):
            kind = forms.IntegerField if step == 1 else forms.FloatField
            least = {"width": 15, "height": 8, "columns": 1, "rows": 1}.get(name, 0)
            self.fields[name] = kind(
                label=label, initial=getattr(USUAL_LABELS[paper], name), min_value=least, max_value=300,
                widget=forms.NumberInput(attrs={"class": "short", "step": step}),
            )  # fmt: skip
        self.fields["skip"].widget.attrs["class"] = "short"

    @property
    def sizes(self):
        """The fields of the sheet of labels, to stand beside one another."""
        return [self[name] for name in (*LABEL_FIELDS, "skip")]

    def sheet(self) -> LabelSheet:
        given = {name: self.cleaned_data[name] for name in (*LABEL_FIELDS, "skip")}
        return LabelSheet(**given, paper=self.paper)

    def clean(self):
        from meets.sheets.labels import problem_with

        cleaned = super().clean()
        if not self.errors and (problem := problem_with(self.sheet())):
            raise forms.ValidationError(say("%(problem)s Measure a sheet, in mm.") % {"problem": problem})
        return cleaned


LABEL_FIELDS = ("width", "height", "columns", "rows", "left", "top", "gap_across", "gap_down")


class LetterForm(forms.Form):
    """What the organiser decides about a letter. `tries`: how often it had been sent when they were asked whether."""

    do = forms.ChoiceField(choices=(("again", ""), ("arrived", "")))
    tries = forms.IntegerField(required=False, min_value=0)
