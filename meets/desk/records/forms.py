"""Forms of record books and claims."""

from django import forms
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from meets.desk.fields import DateInput
from meets.desk.records import reads
from meets.desk.records.claim_reads import shown_mark
from meets.desk.records.fields import MarkField, WindField
from meets.entries.seen import Seen, SeenModel, Standing
from meets.entries.values import wind_words
from meets.models import Meet, Record, RecordBook, RecordClaim
from meets.records.actions import Confirmed
from scoring.wind import Wind


class BookForm(SeenModel, forms.ModelForm):
    """A record book. What its lines mean stays as it is once there are some."""

    class Meta:
        model = RecordBook
        fields = ("name", "level", "school", "unit", "needs_wind")
        labels = {
            "name": _("Name"),
            "level": _("Records of"),
            "school": _("School"),
            "unit": _("Marks are kept in"),
            "needs_wind": _("A record needs a legal wind reading"),
        }
        help_texts = {
            "name": _("For example: Vale district records. Meets of later years use the same book."),
            "school": _("Only for school records: whose athletes alone can set them."),
        }

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["unit"].choices = Meet._meta.get_field("unit").choices
        self.fields["school"].queryset = self.fields["school"].queryset.order_by("name")
        self.fields["school"].empty_label = _now("no school")
        if self.instance.pk is None:
            self.initial.setdefault("unit", meet.unit)
        elif reads.has_lines(self.instance):
            for name in ("level", "school", "unit"):
                self.fields[name].disabled = True
                self.fields[name].help_text = _("Fixed: the book has records or claims.")

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        of_school = cleaned.get("level") == RecordBook.Level.SCHOOL
        if of_school and not cleaned.get("school"):
            self.add_error("school", _("Say whose records they are."))
        if cleaned.get("school") and not of_school and "level" in cleaned:
            self.add_error("school", _("Only school records have a school."))
        return cleaned


class RecordForm(forms.ModelForm):
    """A line that is typed in, as from last year's programme."""

    wind_tenths = WindField(label=_("Wind"))

    class Meta:
        model = Record
        fields = (
            "discipline", "category", "age_group", "mark", "wind_tenths", "holder", "school", "year", "set_on", "venue",
        )  # fmt: skip
        labels = {
            "discipline": _("Jump"),
            "category": _("For"),
            "age_group": _("Age group"),
            "holder": _("Holder"),
            "school": _("School"),
            "year": _("Year"),
            "set_on": _("Date"),
            "venue": _("Where"),
        }
        widgets = {"set_on": DateInput, "year": forms.NumberInput(attrs={"class": "short", "min": 1900, "max": 2999})}

    def __init__(self, *args, book: RecordBook, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.book = self.instance.book = book
        unit, longest = reads.limits_of(book, meet)
        mark = MarkField(
            label=_("Mark"), unit=unit, longest_cm=longest, error_messages={"required": _("The mark is missing.")}
        )
        mark.help_text = _("As it stands in the book, for example %(mark)s.") % {"mark": reads.example_of(book)}
        self.fields["mark"] = mark
        self.fields["age_group"] = forms.ChoiceField(label=_("Age group"), choices=reads.age_groups_for(book, meet))

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        day, year = cleaned.get("set_on"), cleaned.get("year")
        if day and year and day.year != year:
            self.add_error("set_on", _("The date lies in another year than %(year)s.") % {"year": year})
        if self.book.needs_wind and reads.is_windy(cleaned.get("wind_tenths")):
            self.add_error("wind_tenths", _("With this wind it is no record in this book, which needs a legal one."))
        if not self.errors and reads.is_there(self.book, cleaned):
            self.add_error(None, _("This record stands in the book already."))
        return cleaned


class TakeOutForm(forms.Form):
    reason = forms.CharField(
        label=_("Reason"), max_length=200, help_text=_("It stays beside the record, with your name and the time.")
    )


class ClaimForm(Seen, forms.Form):
    """The decision on a claim, on what stood when the page was opened."""

    board = forms.CharField(label=_("Board and runway confirmed by"), required=False, max_length=80)
    measured = forms.CharField(label=_("Measuring confirmed by"), required=False, max_length=80)
    wind = forms.CharField(label=_("Wind gauge and reading confirmed by"), required=False, max_length=80)
    decision = forms.CharField(
        label=_("Reason or remark"), required=False, max_length=200, help_text=_("A refusal needs its reason.")
    )
    decide = forms.ChoiceField(
        choices=[("approve", "approve"), ("refuse", "refuse")],
        widget=forms.HiddenInput,
        error_messages={"required": _("Press one of the two buttons: approve or refuse.")},
    )

    def __init__(self, *args, claim: RecordClaim, **kwargs):
        super().__init__(*args, **kwargs)
        self.claim = claim
        if not claim.book.needs_wind:
            del self.fields["wind"]
        for field in self.confirming():
            field.field.widget.attrs["autocomplete"] = "off"

    def confirming(self) -> list[forms.BoundField]:
        """The fields in which officials are named."""
        return [self[name] for name in ("board", "measured", "wind") if name in self.fields]

    def standing(self) -> Standing:
        return {
            _now("The claim"): str(self.claim.get_state_display()),
            _now("Mark"): shown_mark(self.claim),
            _now("Wind"): wind_words(Wind(self.claim.wind_tenths)),
        }

    def decided(self) -> dict[str, object]:
        """What `decide_claim` takes."""
        cleaned = self.cleaned_data
        return {
            "approve": cleaned["decide"] == "approve",
            "confirmed": Confirmed(cleaned["board"], cleaned["measured"], cleaned.get("wind", "")),
            "decision": cleaned["decision"],
        }
