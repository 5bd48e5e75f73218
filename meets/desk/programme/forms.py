from datetime import time

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from athletes.models import Discipline
from meets.desk.fields import BoardsField, TimeInput
from meets.desk.programme import reads
from meets.entries.seen import Seen, SeenModel, Standing
from meets.models import Event, Meet

NOTHING_TICKED = {"required": _("Tick at least one.")}


class AddEventsForm(forms.Form):
    """Many events at once: every discipline with every category and every age group that is ticked."""

    disciplines = forms.MultipleChoiceField(
        label=_("Jumps"), choices=Discipline.choices, widget=forms.CheckboxSelectMultiple, error_messages=NOTHING_TICKED
    )
    categories = forms.MultipleChoiceField(
        label=_("For"),
        choices=Event.Category.choices,
        widget=forms.CheckboxSelectMultiple,
        error_messages=NOTHING_TICKED,
    )
    age_groups = forms.MultipleChoiceField(
        label=_("Age groups"), widget=forms.CheckboxSelectMultiple, error_messages=NOTHING_TICKED
    )
    long_jump_boards = BoardsField(
        label=_("Long jump boards, metres from the sand"), required=False, widget=forms.TextInput
    )
    triple_jump_boards = BoardsField(
        label=_("Triple jump boards, metres from the sand"),
        required=False,
        help_text=_("Athletes choose one and may change it. Each event can have its own afterwards."),
    )

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["age_groups"].choices = reads.age_group_choices(meet)
        self.initial.setdefault("triple_jump_boards", list(reads.usual_boards_cm()))

    def asked_for(self) -> dict[str, object]:
        """What `add_events` takes."""
        cleaned = self.cleaned_data
        return {
            **{name: cleaned[name] for name in ("disciplines", "categories", "age_groups")},
            "boards_cm": {
                Discipline.LONG_JUMP: cleaned["long_jump_boards"],
                Discipline.TRIPLE_JUMP: cleaned["triple_jump_boards"],
            },
        }


class TimesForm(Seen, forms.Form):
    """Report and start time of every event of a meet, on one page."""

    def __init__(self, *args, events: list[Event], **kwargs):
        super().__init__(*args, **kwargs)
        self.events = events
        for event in events:
            for key, label, value in (
                ("report", _("Report, %(event)s"), event.report_at),
                ("start", _("Start, %(event)s"), event.starts_at),
            ):
                words = label % {"event": event.name}
                self.fields[f"{key}_{event.pk}"] = forms.TimeField(
                    label=words,
                    required=False,
                    initial=value and timezone.localtime(value).time(),
                    widget=TimeInput(attrs={"aria-label": words}),
                    error_messages={"invalid": _("“%(value)s” is no time; for example 14:20 is expected.")},
                )

    def standing(self) -> Standing:
        return {
            field.label: f"{field.initial:%H:%M}" if field.initial else ""
            for name, field in self.fields.items()
            if name != "seen"
        }

    def clean(self) -> dict[str, object]:
        super().clean()
        for event in self.events:
            report, start = self._times(event)
            if report and start and report > start:
                self.add_error(
                    f"report_{event.pk}",
                    _("%(event)s: people are to report at %(report)s, after the start at %(start)s.")
                    % {"event": event.name, "report": f"{report:%H:%M}", "start": f"{start:%H:%M}"},
                )
        return self.cleaned_data

    def _times(self, event: Event) -> tuple[time | None, time | None]:
        return self.cleaned_data.get(f"report_{event.pk}"), self.cleaned_data.get(f"start_{event.pk}")

    def times(self) -> dict[int, tuple[time | None, time | None]]:
        return {event.pk: self._times(event) for event in self.events}


class EventForm(SeenModel, forms.ModelForm):
    """One event's own settings. What it is stays as it is once somebody is entered."""

    boards_cm = BoardsField(
        label=_("Boards, metres from the sand"),
        required=False,
        help_text=_("The boards that athletes of this event may choose, for example 7 9 11."),
    )

    class Meta:
        model = Event
        fields = ("name", "discipline", "category", "age_group", "boards_cm")
        labels = {
            "name": _("Name"),
            "discipline": _("Jump"),
            "category": _("For"),
            "age_group": _("Age group"),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        choices = reads.age_group_choices(self.instance.meet)
        self.fields["age_group"] = forms.ChoiceField(label=_("Age group"), choices=choices)
        if self.instance.entries.exists() or reads.has_log(self.instance):
            for name in ("discipline", "category", "age_group"):
                self.fields[name].disabled = True
                self.fields[name].help_text = _("Fixed: athletes are entered.")

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        others = self.instance.meet.events.exclude(pk=self.instance.pk)
        if others.filter(name=cleaned.get("name")).exists():
            self.add_error("name", _("Another event of this meet has this name."))
        kind = {name: cleaned.get(name) for name in ("discipline", "category", "age_group")}
        if others.filter(**kind).exists():
            self.add_error(None, _("The meet has an event of this jump, category and age group already."))
        return cleaned
