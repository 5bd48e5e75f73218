"""What is said about one athlete at the pit: each form calls one action of `running`."""

from django import forms
from django.utils.translation import gettext_lazy as _

from meets.pit.fields import MetresField
from meets.running import actions


class About(forms.Form):
    """`action` takes event, entry, person and time beside what the form asks; `done` is said afterwards."""

    done = _("Stored.")
    action = None

    def asked(self) -> dict[str, object]:
        return dict(self.cleaned_data)


class Away(About):
    done = _("Marked as away. The round waits.")
    action = staticmethod(actions.leave)

    where = forms.CharField(label=_("Where"), max_length=60, required=False)
    back_at = forms.CharField(label=_("Back at, as told"), max_length=20, required=False)


class Back(About):
    done = _("Marked as back.")
    action = staticmethod(actions.come_back)


class NotHere(About):
    done = _("Marked as not here: takes no trial.")
    action = staticmethod(actions.did_not_start)


class Here(About):
    done = _("Checked in.")
    action = staticmethod(lambda *, entry, **asked: actions.check_in(here=[entry], **asked))


class Late(About):
    done = _("On the list from that round on; missed turns are passes.")
    action = staticmethod(actions.join_late)

    round = forms.IntegerField(label=_("From round"), min_value=1, max_value=99)
    reason = forms.CharField(label=_("Reason"), max_length=200, required=False)


class NoMore(About):
    done = _("No more trials; what was jumped stands.")
    action = staticmethod(actions.withdraw)

    reason = forms.CharField(label=_("Reason"), max_length=200, required=False)


class Board(About):
    done = _("From the next trial on from this board.")
    action = staticmethod(actions.set_board)

    board_cm = forms.IntegerField(min_value=1, max_value=2000, required=False)
    other = MetresField(label=_("Another distance, metres from the sand"), required=False)

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        if not cleaned.get("board_cm") and not cleaned.get("other") and not self.errors:
            raise forms.ValidationError(_("Choose a board, or type its distance from the sand in metres."))
        return cleaned

    def asked(self) -> dict[str, object]:
        return {"board_cm": self.cleaned_data.get("other") or self.cleaned_data["board_cm"]}


FORMS: dict[str, type[About]] = {
    "away": Away,
    "back": Back,
    "not-here": NotHere,
    "here": Here,
    "late": Late,
    "no-more": NoMore,
    "board": Board,
}
