from django import forms

from meets.desk.rules import reads
from meets.desk.rules.agreeing import Agreeing
from meets.desk.rules.misfits import misfits_with
from meets.entries.seen import Seen, Standing
from meets.models import Event, Meet
from meets.sheets.wording import choice_in_words


class RulesForm(Seen, Agreeing, forms.Form):
    """Every rule of a meet or an event as a field; answers with all that is wrong at once."""

    def __init__(self, *args, owner: Meet | Event, fixed: bool = False, **kwargs):
        super().__init__(*args, **kwargs)
        self.owner = owner
        self.groups = reads.rule_groups(owner)
        for _title, lines in self.groups:
            for line in lines:
                self.fields[line.name] = self._field(line)
                self.fields[line.name].disabled = fixed

    def standing(self) -> Standing:
        return {line.name: line.value for _title, lines in self.groups for line in lines}

    def concerning(self, changed: Standing) -> Standing:
        says = {line.name: line.says for _title, lines in self.groups for line in lines}
        return {says.get(name, name): value for name, value in changed.items()}

    @staticmethod
    def _field(line: reads.RuleLine) -> forms.Field:
        if line.choices:
            choices = [(choice, choice_in_words(choice)) for choice in line.choices]
            return forms.ChoiceField(label=line.says, choices=choices, initial=line.value)
        # An empty text is a value of its own: no cut, no points.
        return forms.CharField(label=line.says, initial=line.value, required=False, max_length=200)

    def clean(self) -> dict[str, str]:
        super().clean()
        self.changes = reads.changes_of(self.owner, self.cleaned_data)
        for name, sentence in reads.problems_of(self.owner, self.changes):
            self.add_error(name if name in self.fields else None, sentence)
        if isinstance(self.owner, Meet) and not self.errors:
            self.ask_about(misfits_with(self.owner, rule_set=self.owner.rule_set, rule_changes=self.changes))
        return self.cleaned_data

    def lines(self) -> list[tuple[str, list[tuple[reads.RuleLine, forms.BoundField]]]]:
        return [(title, [(line, self[line.name]) for line in lines]) for title, lines in self.groups]
