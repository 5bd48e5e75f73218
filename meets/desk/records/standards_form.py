"""Standards on one page: a line for each, empty lines for more, all or nothing."""

from collections.abc import Sequence

from django import forms
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from athletes.models import Discipline
from meets.desk.records import standards_reads as reads
from meets.entries.forms import UploadForm
from meets.entries.seen import Seen, Standing
from meets.models import Event, Meet, Standard
from meets.records.actions import MOST_STANDARDS
from meets.records.standard_lines import HEADINGS, Column, Given, read_standards

EMPTY_LINES = 5
MOST_LINES = MOST_STANDARDS + EMPTY_LINES


class StandardsForm(Seen, forms.Form):
    """`lines` are numbered from 1; a line that is emptied goes."""

    rows = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=MOST_LINES)

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet, self.given = meet, None
        self.known: Sequence[Standard] = reads.standards_of_meet(meet)
        self.count = self._count()
        self.initial["rows"] = self.count
        groups = reads.age_groups_of(meet, self.known)
        for number in range(1, self.count + 1):
            self._add_line(number, groups, self.known[number - 1] if number <= len(self.known) else None)

    def _count(self) -> int:
        sent = str(self.data.get("rows", "")) if self.is_bound else ""
        if sent.isascii() and sent.isdigit() and 0 < int(sent) <= MOST_LINES:
            return int(sent)
        return len(self.known) + EMPTY_LINES

    def _add_line(self, number: int, groups: Sequence[tuple[str, str]], known: Standard | None) -> None:
        everybody, all_ages = [("", _now("everybody"))], [("", _now("all ages"))]
        choices = {
            Column.DISCIPLINE: [("", "–"), *Discipline.choices],
            Column.CATEGORY: [*everybody, *Event.Category.choices],
            Column.AGE_GROUP: [*all_ages, *groups],
        }
        for column in Column:
            words = _now("%(what)s, line %(line)d") % {"what": HEADINGS[column], "line": number}
            attrs = {"aria-label": words}
            if column in choices:
                widget = forms.Select(attrs=attrs, choices=choices[column])
            else:
                short = {"class": "short", "inputmode": "decimal"} if column == Column.MARK else {}
                widget = forms.TextInput(attrs={**attrs, **short, "autocomplete": "off"})
            self.fields[f"{column}_{number}"] = forms.CharField(
                label=words,
                required=False,
                widget=widget,
                initial=reads.cell(known, column, self.meet) if known else "",
            )

    def lines(self) -> list[list[forms.BoundField]]:
        """The fields of each line, in the order of the columns."""
        return [[self[f"{column}_{number}"] for column in Column] for number in range(1, self.count + 1)]

    def headings(self) -> list[str]:
        return [str(HEADINGS[column]) for column in Column]

    def standing(self) -> Standing:
        return {reads.words_of(known): reads.cell(known, Column.MARK, self.meet) for known in self.known}

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        numbered = (
            (number, {column: cleaned.get(f"{column}_{number}", "") for column in Column})
            for number in range(1, self.count + 1)
        )
        self.given: Given | None = read_standards(numbered, self.meet)
        for problem in self.given.problems:
            says = f"{problem.says[:1].upper()}{problem.says[1:]}"
            self.add_error(f"{problem.column or Column.NAME}_{problem.line}", says)
        return cleaned


class StandardsFileForm(UploadForm):
    replace = forms.BooleanField(
        label=_("Remove the standards that the file does not have"),
        required=False,
        help_text=_("Without it, those of the file are added, and a standard that is there already gets its new mark."),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["file"].label = _("File of standards")
