"""Forms of the entries: a file to upload, what to store of it, one entry to add or to change."""

from __future__ import annotations

from collections.abc import Iterable

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from athletes.models import Athlete
from meets.entries import reads
from meets.entries import values as read
from meets.entries.columns import HEADINGS, Field
from meets.entries.outcome import Reason, Verdict
from meets.entries.seen import Seen, SeenModel, Standing
from meets.models import Entry, Meet
from scoring.marks import Unit

SHORT = {"class": "short", "autocomplete": "off"}


class UploadForm(forms.Form):
    file = forms.FileField(
        label=_("Entry file"),
        widget=forms.FileInput(attrs={"accept": ".csv,.xlsx,.txt,.tsv"}),
        help_text=_("CSV or an Excel workbook (.xlsx), at most 5 MB."),
        error_messages={"required": _("Choose a file first."), "empty": _("The file is empty. Choose another.")},
    )


class WordsForm(forms.Form):
    """Who is looked for. The browser keeps no list of the names typed here."""

    words = forms.CharField(
        label=_("Name or bib"),
        required=False,
        max_length=100,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )


class Lines(forms.Field):
    """Numbers of lines, as many boxes of one name."""

    widget = forms.SelectMultiple

    def to_python(self, value: list[str] | None) -> frozenset[int]:
        numbers = value or []
        if not all(number.isascii() and number.isdigit() and len(number) < 8 for number in numbers):
            raise ValidationError(_("The numbers of the lines did not arrive whole. Load the page again."))
        return frozenset(map(int, numbers))


class AcceptForm(forms.Form):
    """What the check page sends: the check that was shown, its filter, and the boxes."""

    seen = forms.CharField(max_length=64)
    verdict = forms.ChoiceField(choices=[("", ""), *((v.value, v.value) for v in Verdict)], required=False)
    school = forms.CharField(required=False)
    left_out = Lines(required=False)
    consented = Lines(required=False)
    confirm_late = forms.BooleanField(required=False)


class BestField(forms.CharField):
    """A seed mark in the meet's unit, typed as in a file."""

    def __init__(self, *, unit: Unit, longest_cm: int, **kwargs):
        self.unit, self.longest_cm = unit, longest_cm
        super().__init__(required=False, label=_("Best"), widget=forms.TextInput(attrs=SHORT), **kwargs)

    def to_python(self, value):
        return _read(lambda text: read.read_mark(text, self.unit, self.longest_cm), super().to_python(value))


class BoardField(forms.CharField):
    def __init__(self, *, unit: Unit, **kwargs):
        self.unit = unit
        super().__init__(required=False, label=_("Board"), widget=forms.TextInput(attrs=SHORT), **kwargs)

    def to_python(self, value):
        return _read(lambda text: read.read_board(text, self.unit), super().to_python(value))


class WindField(forms.CharField):
    def __init__(self, **kwargs):
        super().__init__(required=False, label=_("Wind of the best"), widget=forms.TextInput(attrs=SHORT), **kwargs)

    def to_python(self, value):
        return _read(read.read_wind, super().to_python(value))


def _read(reader, text):
    try:
        return reader(text)
    except read.Wrong as problem:
        says = str(problem)
        raise ValidationError(says[:1].upper() + says[1:]) from problem


class NotPublicField(forms.BooleanField):
    """Ticked for whoever must not be named to the public."""

    def __init__(self, **kwargs):
        label = _("Name not shown: the public sees bib and school only, in every meet")
        super().__init__(label=label, required=False, **kwargs)


class DateInput(forms.DateInput):
    input_type = "date"

    def __init__(self, attrs=None):
        super().__init__({"class": "short date", **(attrs or {})}, format="%Y-%m-%d")


class StatusForm(Seen, forms.Form):
    """An entry withdrawn, or entered again: from the status that was seen."""

    def __init__(self, *args, entry: Entry, **kwargs):
        super().__init__(*args, prefix="status", **kwargs)
        self.entry = entry

    def standing(self) -> Standing:
        return _status(self.entry)


def _status(entry: Entry) -> Standing:
    return {_now("Status"): entry.get_status_display()}


class EntryForm(SeenModel, forms.ModelForm):
    """One entry and what belongs to its athlete."""

    ATHLETE = ("first_name", "last_name", "born", "school_year", "say_it", "not_public")

    class Meta:
        model = Entry
        fields = ("bib", "string", "guest", "seed_date", "klass")
        labels = {
            "guest": _("Guest: is listed with a mark, takes no place"),
            "seed_date": _("Date of the best"),
            "klass": _("Impairment class"),
        }
        widgets = {
            "bib": forms.TextInput(attrs=SHORT),
            "string": forms.TextInput(attrs=SHORT),
            "seed_date": DateInput,
            "klass": forms.TextInput(attrs=SHORT),
        }

    first_name = forms.CharField(label=_("First name"), max_length=read.LONGEST_NAME)
    last_name = forms.CharField(label=_("Surname"), max_length=read.LONGEST_NAME)
    born = forms.DateField(
        label=_("Date of birth"), widget=DateInput, help_text=_("For the age group only; other schools never see it.")
    )
    school_year = forms.CharField(
        label=_("School year"), max_length=12, required=False, widget=forms.TextInput(attrs=SHORT)
    )
    say_it = forms.CharField(label=_("How to say the name"), max_length=80, required=False)
    not_public = NotPublicField(help_text=_("Results that are published already have to be published again."))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        entry = self.instance
        unit = Unit(entry.event.meet.unit)
        self.fields["seed_mark"] = BestField(unit=unit, longest_cm=reads.longest_cm(entry))
        self.fields["seed_wind_tenths"] = WindField()
        self.fields["board_cm"] = BoardField(unit=unit, help_text=reads.boards_help(entry))
        self.initial.update(reads.texts_of(entry))
        # Somebody named at the pit: the name can be corrected before the date is known.
        self.fields["born"].required = entry.athlete.born is not None
        for name in self.ATHLETE:
            self.initial[name] = getattr(entry.athlete, name)

    def standing(self) -> Standing:
        """Also whether the entry stands at all; the long label of a guest is cut to its first word."""
        fields = {name.partition(":")[0]: value for name, value in super().standing().items()}
        return {**_status(self.instance), **fields}

    def clean_string(self):
        return _read(read.read_string, self.cleaned_data["string"])

    def clean_first_name(self):
        return _read(lambda text: read.read_name(text, initials=True), self.cleaned_data["first_name"])

    def clean_last_name(self):
        return _read(read.read_name, self.cleaned_data["last_name"])

    def clean_klass(self):
        return _read(read.read_class, self.cleaned_data["klass"])

    def clean_bib(self):
        return self.cleaned_data["bib"].strip()

    def _post_clean(self):
        """The instance is left as it is stored; the action changes it."""

    def changes(self) -> tuple[dict[str, object], dict[str, object]]:
        """What was changed of the entry, and what of the athlete."""
        changed = {name: self.cleaned_data[name] for name in self.changed_data if name != "seen"}
        of_athlete = {name: value for name, value in changed.items() if name in self.ATHLETE}
        return {name: value for name, value in changed.items() if name not in self.ATHLETE}, of_athlete


class NewEntryForm(forms.Form):
    """One entry more, by the same checks as a line of a file."""

    code = forms.ChoiceField(label=_("School"))
    event = forms.ChoiceField(label=_("Event"))
    first_name = forms.CharField(label=_("First name"), max_length=read.LONGEST_NAME)
    last_name = forms.CharField(label=_("Surname"), max_length=read.LONGEST_NAME)
    born = forms.DateField(label=_("Date of birth"), widget=DateInput)
    sex = forms.ChoiceField(label=_("Girl or boy"), choices=Athlete.Sex.choices, widget=forms.RadioSelect)
    string = forms.CharField(label=_("String"), required=False, widget=forms.TextInput(attrs=SHORT))
    guest = forms.BooleanField(label=_("Guest: is listed with a mark, takes no place"), required=False)
    best = forms.CharField(label=_("Best"), required=False, widget=forms.TextInput(attrs=SHORT))
    board = forms.CharField(label=_("Board"), required=False, widget=forms.TextInput(attrs=SHORT))
    school_year = forms.CharField(label=_("School year"), required=False, widget=forms.TextInput(attrs=SHORT))
    not_public = NotPublicField()
    consent = forms.BooleanField(label=_("Enter it all the same"), required=False)

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["code"].choices = [
            ("", _("choose a school")),
            *((school.code, f"{school.name} ({school.code})") for school in reads.all_schools()),
        ]
        self.fields["event"].choices = [
            ("", _("choose an event")),
            *((event.name, event.name) for event in reads.events_of_meet(meet)),
        ]
        self.fields["born"].widget.attrs["max"] = timezone.localdate().isoformat()

    def values(self) -> dict[Field, str]:
        """The cells of a line."""
        texts = {}
        for field in Field:
            value = self.cleaned_data.get(field.value, "")
            texts[field] = "yes" if value is True else "" if value in (False, None) else value
        return texts

    def say(self, reasons: Iterable[Reason]) -> None:
        """Put what the check says at the fields it is about."""
        fields = {str(heading): field.value for field, heading in HEADINGS.items()}
        for reason in reasons:
            name = fields.get(reason.column)
            self.add_error(name if name in self.fields else None, reason.says[:1].upper() + reason.says[1:])
