from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.desk.cut.reads import CutRow, Decisions
from meets.pit.fields import BibsField

REASON = _("Only needed if it differs from what is proposed; it is kept with the decision.")


class Decided(forms.Form):
    """A decision taken on the log as it was seen; if somebody recorded in the meantime it is refused."""

    seen_version = forms.IntegerField(widget=forms.HiddenInput)
    reason = forms.CharField(label=_("Reason"), max_length=200, required=False, help_text=REASON)

    def __init__(self, *args, page: Decisions, **kwargs):
        super().__init__(*args, **kwargs)
        self.page = page
        self.fields["seen_version"].initial = page.version

    def asked(self) -> dict[str, object]:
        return dict(self.cleaned_data)


class TrialsForm(Decided):
    with_cut = forms.TypedChoiceField(
        label=_("Is there a cut"), coerce=lambda value: value == "yes", widget=forms.RadioSelect
    )
    rounds = forms.IntegerField(
        label=_("Trials each, in all"), min_value=1, widget=forms.NumberInput(attrs={"class": "short"})
    )
    field_order = ("with_cut", "rounds", "reason")

    def __init__(self, *args, page: Decisions, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        self.fields["with_cut"].choices = [
            ("yes", gettext("a cut: only the best go on")), ("no", gettext("no cut: everybody goes on"))
        ]  # fmt: skip
        self.fields["with_cut"].initial = "yes" if page.trials.with_cut else "no"
        self.fields["rounds"].initial = page.trials.rounds


class CutForm(Decided):
    """Who goes on, and the order to be read out; both as proposed unless the referee changes them."""

    def __init__(self, *args, page: Decisions, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        for row in page.rows:
            words = {"bib": row.person.bib, "name": row.person.name}
            self.fields[f"on_{row.person.entry}"] = forms.BooleanField(
                label=gettext("Bib %(bib)s, %(name)s goes on") % words, required=False, initial=row.goes_on
            )
        self.fields["order"] = order_field(page)

    def asked(self) -> dict[str, object]:
        values = self.cleaned_data
        protested = {row.person.entry for row in self.page.rows if row.under_protest}
        on = [row.person.entry for row in self.page.rows if values[f"on_{row.person.entry}"]]
        proposed = [row.person.entry for row in self.page.rows if row.goes_on]
        changed = "order" in self.changed_data
        return {
            "going_on": None if on == proposed else [key for key in on if key not in protested],
            "order": values["order"] if changed else None,
            "reason": values["reason"],
            "seen_version": values["seen_version"],
        }

    def rows(self) -> list[tuple[CutRow, forms.BoundField]]:
        return [(row, self[f"on_{row.person.entry}"]) for row in self.page.rows]


class OrderForm(Decided):
    """The order of a round that no cut precedes."""

    def __init__(self, *args, page: Decisions, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        self.fields["order"] = order_field(page)

    def asked(self) -> dict[str, object]:
        return {**self.cleaned_data, "order": self.cleaned_data["order"] if "order" in self.changed_data else None}


def order_field(page: Decisions) -> BibsField:
    return BibsField(
        page.people,
        label=gettext("Order of round %(round)d, by bib") % {"round": page.order_round or 0},
        initial=[person.entry for person in page.order],
        help_text=gettext("The first jumps first. Read it out to the athletes before the round."),
    )
