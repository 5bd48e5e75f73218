"""A decision at the desk as a form: what it asks, what it says, and the one action it calls."""

from collections.abc import Callable, Iterator

from django import forms
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

from meets.desk.decide.fields import AthleteField
from meets.desk.decide.reads import turn_page
from meets.desk.event.reads import EventPage
from meets.entries.bibs import bib_order
from meets.entries.seen import Seen, Standing
from meets.entries.values import with_minus
from meets.running.reads import Person
from scoring.log import Turn

REASON_HELP = lazy("It is kept in the log with your name and the time.")


class Decision(Seen, forms.Form):
    """`heading` and `says` stand above the form, `done` is said afterwards. `action` takes what `asked` gives."""

    heading = ""
    says = ""
    button = lazy("Store")
    done = lazy("Stored in the log.")
    stern = False
    action: Callable[..., object]

    def __init__(self, *args, page: EventPage, **kwargs):
        self.page = page
        super().__init__(*args, **kwargs)

    def standing(self) -> Standing:
        """What the decision would change. By default nothing: a row is added beside the others."""
        return {}

    def asked(self) -> dict[str, object]:
        """Arguments of the action beside event, person and time."""
        return dict(self.cleaned_data)

    def reason_field(self, *, required: bool = True) -> forms.CharField:
        return forms.CharField(label=_("Reason"), max_length=200, required=required, help_text=REASON_HELP)


class WithReason(Decision):
    """A decision that needs its reason; the reason is asked last."""

    reason_needed = True

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reason"] = self.reason_field(required=self.reason_needed)


class AboutAthlete(Decision):
    """A decision about one athlete."""

    def __init__(self, *args, page: EventPage, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        self.fields = {"entry": AthleteField(self.people()), **self.fields}

    def people(self) -> Iterator[Person]:
        """Who may be chosen; by default everybody, by bib."""
        yield from sorted(self.page.people.values(), key=lambda person: bib_order(person.bib))


class AboutTurn(Decision):
    """A decision about one turn, named by hidden fields."""

    entry = forms.CharField(widget=forms.HiddenInput)
    round = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    replacement = forms.IntegerField(widget=forms.HiddenInput, min_value=0, required=False)

    def standing(self) -> Standing:
        """The rows that stand for the turn, those of its wind too."""
        turn = self._turn_shown()
        if turn is None or turn.entry not in self.page.people:
            return {}
        found = next((one for one in self.page.state.entry(turn.entry).turns if one.turn == turn), None)
        return {"rows": " ".join(sorted((*found.rows, *found.wind_rows))) if found else ""}

    def overtaken_by(self, changed: Standing) -> str:
        turn = self.turn_of(self.cleaned_data)
        shown = turn_page(self.page, *turn)
        if shown is None or not shown.text:
            now = _("Now nothing stands for this turn.")
        else:
            last = shown.said[-1]
            wind = with_minus(shown.wind) or (_("owed") if shown.owes_wind else "")
            trial = _("%(trial)s, wind %(wind)s") % {"trial": shown.text, "wind": wind} if wind else shown.text
            words = _("Now stands: %(trial)s. %(by)s recorded it last.")
            now = words % {"trial": trial, "by": last.by or last.recorder}
        return _("Somebody has changed this trial since you opened the page. Nothing of yours is stored. %(now)s") % {
            "now": now
        }

    @property
    def anew(self) -> str:
        turn = self._turn_shown()
        return reverse("desk:turn", args=[self.page.event.meet.slug, self.page.event.pk, *turn]) if turn else ""

    def _turn_shown(self) -> Turn | None:
        values = {name: self[name].value() for name in ("entry", "round", "replacement")}
        numbers = (values["entry"], values["round"], values["replacement"] or 0)
        return self.turn_of(values) if all(str(number).isdecimal() for number in numbers) else None

    def turn_of(self, values: dict[str, object]) -> Turn:
        return Turn(str(values["entry"]), int(values["round"]), int(values.get("replacement") or 0))

    def asked(self) -> dict[str, object]:
        values = dict(self.cleaned_data)
        turn = self.turn_of(values)
        rest = {name: value for name, value in values.items() if name not in ("entry", "round", "replacement")}
        return {"turn": turn, **rest}

    @property
    def about(self) -> str:
        """The turn in words, for the heading."""
        values = {name: self[name].value() for name in ("entry", "round", "replacement")}
        person = self.page.people.get(str(values["entry"]))
        if person is None or not str(values["round"]).isdecimal():
            return _("no trial chosen")
        words = _("Bib %(bib)s, %(name)s, round %(round)s") % {
            "bib": person.bib, "name": person.name, "round": values["round"]
        }  # fmt: skip
        return words + (_(", replacement trial") if str(values["replacement"] or 0) != "0" else "")
