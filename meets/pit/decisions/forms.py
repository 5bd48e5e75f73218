"""What is asked for decisions at the pit: names of referees, measured boards, winds."""

from collections.abc import Iterable

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from meets.pit.decisions.reads import BoardInUse, Owed
from meets.pit.fields import MetresField
from meets.pit.written import turn_name
from meets.running.digits import wind_from_digits
from meets.running.words import say_refused
from scoring.errors import RuleError
from scoring.log import Turn
from scoring.wind import parse_wind


class ReadyForm(forms.Form):
    """Each board as measured, and who signs that all is ready (nobody: only the boards are stored).

    `signs`: whether it may be signed here at all, or boards be measured only.
    """

    referee = forms.CharField(label=_("Signed by"), max_length=80, required=False)

    def __init__(self, *args, boards: Iterable[BoardInUse], signs: bool = True, **kwargs):
        super().__init__(*args, **kwargs)
        if not signs:
            del self.fields["referee"]
        self.boards = tuple(boards)
        for board in self.boards:
            label = _("Board %(board)s: line to sand edge as measured, metres") % {"board": board.shown}
            self.fields[f"board_{board.board_cm}"] = MetresField(label=label, required=False)

    @property
    def board_fields(self) -> list[forms.BoundField]:
        return [self[f"board_{board.board_cm}"] for board in self.boards]

    def measured(self) -> dict[int, int]:
        found = {board.board_cm: self.cleaned_data[f"board_{board.board_cm}"] for board in self.boards}
        return {board: cm for board, cm in found.items() if cm is not None}


class WindField(forms.CharField):
    """A wind with its sign: `+1.4`, `-3` is -0.3, `0`, `n`. Digits without a sign are asked for one."""

    def to_python(self, value):
        text = super().to_python(value)
        if text in self.empty_values:
            return ""
        if text.strip("0., ") and text[0].isdigit():
            raise ValidationError(_("“%(text)s”: press + or − as well, unless it is 0.0.") % {"text": text})
        try:
            wind = wind_from_digits(text)
            parse_wind(wind)
        except RuleError as problem:
            raise ValidationError(say_refused(problem)) from problem
        return wind


class WindsForm(forms.Form):
    """Winds that are owed; those left empty stay owed."""

    def __init__(self, *args, owed: Iterable[Owed], **kwargs):
        super().__init__(*args, **kwargs)
        self.owed = tuple(owed)
        for one in self.owed:
            widget = forms.TextInput(attrs={"autocomplete": "off", "class": "short", "maxlength": 6})
            label = _("Wind of bib %(bib)s, round %(round)s") % {"bib": one.person.bib, "round": one.turn.round}
            self.fields[turn_name(one.turn)] = WindField(label=label, required=False, widget=widget)

    @property
    def lines(self) -> list[tuple[Owed, forms.BoundField]]:
        return [(one, self[turn_name(one.turn)]) for one in self.owed]

    def winds(self) -> dict[tuple[int, Turn], str]:
        typed = {(one.event_id, one.turn): self.cleaned_data[turn_name(one.turn)] for one in self.owed}
        return {turn: wind for turn, wind in typed.items() if wind}


class RefereeForm(forms.Form):
    """A decision taken as proposed: whose it is, and what was looked at."""

    referee = forms.CharField(
        label=_("Referee"),
        max_length=80,
        error_messages={"required": _("Write the referee's name: it is their decision.")},
    )
    version = forms.IntegerField(widget=forms.HiddenInput)


class CloseForm(RefereeForm):
    """The sheet is signed; a reason is needed while something is not here."""

    reason = forms.CharField(label=_("Reason"), max_length=200, required=False)


class CutForm(RefereeForm):
    """The cut as proposed, or other athletes with a reason."""

    otherwise = forms.BooleanField(required=False)
    going_on = forms.MultipleChoiceField(required=False)
    reason = forms.CharField(label=_("Reason"), max_length=200, required=False)

    def __init__(self, *args, entries: Iterable[str] = (), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["going_on"].choices = [(entry, entry) for entry in entries]

    def taken(self) -> list[str] | None:
        return self.cleaned_data["going_on"] if self.cleaned_data["otherwise"] else None


class TrialsForm(RefereeForm):
    """The number of trials as proposed, or with or without a cut and a reason."""

    cut = forms.ChoiceField(required=False, choices=[("", ""), ("yes", "yes"), ("no", "no")])
    reason = forms.CharField(label=_("Reason"), max_length=200, required=False)

    def with_cut(self) -> bool | None:
        return {"yes": True, "no": False}.get(self.cleaned_data["cut"])
