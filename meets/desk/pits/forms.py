from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from meets.desk.fields import BoardsField, MetresField, TimeInput
from meets.desk.pits import reads
from meets.desk.pits.actions import Part
from meets.entries.seen import Seen, SeenModel, Standing
from meets.models import Meet, Pit, PitSession


class PitForm(SeenModel, forms.ModelForm):
    sand_cm = MetresField(
        label=_("Length of the sand, metres"),
        shortest_cm=300,
        longest_cm=2000,
        help_text=_("From the near edge to the far end. With the boards it says which marks can be."),
    )
    runway_cm = MetresField(label=_("Length of the runway, metres"), shortest_cm=500, longest_cm=9900)
    boards_cm = BoardsField(
        label=_("Boards, metres from the sand"),
        required=False,
        help_text=_("Every board or painted line of this pit, for example 2 7 9 11."),
    )

    class Meta:
        model = Pit
        fields = ("name", "sand_cm", "runway_cm", "boards_cm", "gauge")
        labels = {"name": _("Name"), "gauge": _("Wind gauge")}
        help_texts = {
            "name": _("As people on the field call it: Pit 1, the car park end."),
            "gauge": _("Its number or name, if there is one. Empty: no gauge."),
        }

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.instance.meet = meet

    def clean_name(self) -> str:
        name = self.cleaned_data["name"].strip()
        if self.instance.meet.pits.filter(name=name).exclude(pk=self.instance.pk).exists():
            raise ValidationError(_("This meet has a pit of that name."))
        return name


class SessionForm(Seen, forms.Form):
    """A crew's work at one pit: which events or flights, in which blocks."""

    pit = forms.ModelChoiceField(Pit.objects.none(), label=_("Pit"), empty_label=None)
    start = forms.TimeField(label=_("Start"), required=False, widget=TimeInput)
    name = forms.CharField(label=_("Name"), required=False, max_length=80, help_text=_("Empty: the pit and the start."))

    def __init__(self, *args, meet: Meet, session: PitSession | None, **kwargs):
        super().__init__(*args, **kwargs)
        self.session = session
        self.fields["pit"].queryset = meet.pits.all()
        if session:
            self.initial = {
                "pit": session.pit_id,
                "name": session.name,
                "start": session.starts_at and timezone.localtime(session.starts_at).time(),
            }
        self.lines = reads.part_lines(meet, session)
        for line in self.lines:
            if not line.elsewhere:
                label = _("Block of %(part)s") % {"part": line.says}
                self.fields[f"block_{line.key}"] = forms.IntegerField(
                    label=label,
                    required=False,
                    min_value=1,
                    max_value=99,
                    initial=line.block,
                    widget=forms.NumberInput(attrs={"class": "short", "aria-label": label}),
                )

                if line.of_several:
                    further = _("Trials after the cut of %(part)s are held here") % {"part": line.event.name}
                    self.fields[f"further_{line.key}"] = forms.BooleanField(
                        label=further,
                        required=False,
                        initial=line.further_trials,
                        widget=forms.CheckboxInput(attrs={"aria-label": further}),
                    )

    def standing(self) -> Standing:
        if self.session is None:
            return {}
        start = self.initial["start"]
        stands = {
            str(self.fields["pit"].label): self.session.pit.name,
            str(self.fields["start"].label): f"{start:%H:%M}" if start else "",
            str(self.fields["name"].label): self.session.name,
        }
        for name, field in self.fields.items():
            if name.startswith(("block_", "further_")):
                stands[str(field.label)] = "" if field.initial is None else str(field.initial)
        return stands

    def parts(self) -> list[Part]:
        """Every part that was given a block."""
        blocks = [(line, self.cleaned_data.get(f"block_{line.key}")) for line in self.lines]
        return [
            Part(line.event.pk, line.flight, block, bool(self.cleaned_data.get(f"further_{line.key}")))
            for line, block in blocks
            if block
        ]

    def clean(self) -> dict[str, object]:
        super().clean()
        whole = {part.event_id for part in self.parts() if not part.flight}
        for part in self.parts():
            if part.flight and part.event_id in whole:
                self.add_error(
                    f"block_{part.event_id}_{part.flight}",
                    _("All flights of this event are in the session already: give it a block once only."),
                )
        return self.cleaned_data


class EachForm(forms.Form):
    """At which pit the events go that are in no session."""

    pit = forms.ModelChoiceField(Pit.objects.none(), label=_("Pit"), empty_label=None)

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["pit"].queryset = meet.pits.all()
