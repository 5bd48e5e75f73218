"""Decisions about one trial, its wind, and protests."""

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.desk.decide.decision import AboutTurn, Decision, WithReason
from meets.desk.decide.fields import AthleteField
from meets.desk.fields import MetresField
from meets.running import actions
from scoring.log import Turn
from scoring.trials import FAIL_REASONS


class Correct(WithReason, AboutTurn):
    heading = _("Correct this trial")
    says = _(
        "The old entry stays in the log, struck through. Where two recorders differ, this settles it for both. "
        "A cut that was taken stays; an alarm says if it would be another."
    )
    button = _("Correct the trial")
    done = _("The trial is corrected.")
    action = staticmethod(actions.correct_trial)

    trial = forms.CharField(
        label=_("Trial"),
        max_length=20,
        help_text=_("The mark, or x failed, - pass, r retired, o valid but not measured."),
        widget=forms.TextInput(attrs={"class": "short", "autocomplete": "off"}),
    )
    fail_reason = forms.ChoiceField(label=_("Why it failed"), required=False)
    wind = forms.CharField(
        label=_("Wind"),
        max_length=8,
        required=False,
        help_text=_("With its sign, +1.4, or NWI. Empty: not given yet."),
        widget=forms.TextInput(attrs={"class": "short", "autocomplete": "off"}),
    )
    board_cm = MetresField(label=_("Board, metres from the sand"), required=False, longest_cm=2000)
    under_protest = forms.BooleanField(label=_("Failed, and measured under protest"), required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        said = [(str(reason), gettext(words)) for reason, words in FAIL_REASONS.items() if str(reason)]
        self.fields["fail_reason"].choices = [("", gettext("not failed, or no reason stated")), *said]


class Replacement(WithReason, AboutTurn):
    heading = _("Give a replacement trial")
    says = _(
        "Hampered, or the trial could not be recorded: the referee gives a new one. What was recorded is kept "
        "and does not count; the new trial comes before any other."
    )
    button = _("Give a replacement trial")
    done = _("A replacement trial is given; it is called next.")
    action = staticmethod(actions.give_replacement)


class MoveTrial(WithReason, AboutTurn):
    heading = _("Move the trial to another bib")
    says = _(
        "A trial belongs to the body that jumped. The first bib's turn is open again; if the other bib already "
        "has a trial in this round, the moved one is its second and does not count."
    )
    button = _("Move the trial")
    done = _("The trial is moved.")
    action = staticmethod(actions.move_trial)

    def __init__(self, *args, page, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        to_entry = AthleteField(page.people.values(), label=gettext("Who really jumped"))
        self.fields = {"to_entry": to_entry, **self.fields}


class VoidTrial(WithReason, AboutTurn):
    heading = _("Take the trial back")
    says = _("It was typed by mistake and nobody jumped: the turn is open again.")
    button = _("Take the trial back")
    done = _("The trial is taken back; the turn is open.")
    stern = True
    action = staticmethod(actions.void_trial)


class SetWind(AboutTurn):
    heading = _("Wind of this trial")
    says = _("The first reading is no correction, however late it comes; another one afterwards needs its reason.")
    done = _("The wind is stored.")
    action = staticmethod(actions.record_wind)

    wind = forms.CharField(
        label=_("Wind"), max_length=8, help_text=_("With its sign, +1.4, or NWI where no reading was taken.")
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reason"] = self.reason_field(required=False)


class LodgeProtest(WithReason):
    heading = _("Take a protest")
    says = _("First to the referee. Until it is decided an alarm stands on the page of the event.")
    done = _("The protest is in the log; it waits for the referee.")
    action = staticmethod(actions.lodge_protest)

    who = forms.CharField(label=_("Who protests"), max_length=80)
    round = forms.IntegerField(label=_("Round, if about a trial"), min_value=1, required=False)

    def __init__(self, *args, page, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        athlete = AthleteField(page.people.values(), label=gettext("About whom"), required=False)
        self.fields = {"entry": athlete, **self.fields}

    def clean(self) -> dict[str, object]:
        super().clean()
        if self.cleaned_data.get("round") and not self.cleaned_data.get("entry"):
            self.add_error("entry", _("A protest about a trial needs the athlete."))
        return self.cleaned_data

    def asked(self) -> dict[str, object]:
        values = self.cleaned_data
        entry, round = values["entry"], values["round"]
        return {
            "name": f"protest {len(self.page.state.protests) + 1}",
            "entry": entry,
            "turn": Turn(entry, round) if round else None,
            "who": values["who"],
            "reason": values["reason"],
        }


class DecideProtest(WithReason):
    heading = _("Decide a protest")
    says = _("The referee decides; an appeal goes to the jury. A trial measured under protest counts once upheld.")
    done = _("The decision is in the log.")
    action = staticmethod(actions.decide_protest)

    name = forms.ChoiceField(label=_("Protest"))
    upheld = forms.TypedChoiceField(
        label=_("Decision"),
        choices=[("yes", _("upheld")), ("no", _("not upheld"))],
        coerce=lambda value: value == "yes",
        widget=forms.RadioSelect,
    )

    def __init__(self, *args, page, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        self.fields["name"].choices = [(protest.name, protest.said) for protest in page.protests]


class LodgeAppeal(WithReason):
    heading = _("Take an appeal")
    says = _(
        "Against the referee's decision on a protest, to the jury. The result is not official until it is decided."
    )
    done = _("The appeal is in the log and open.")
    action = staticmethod(actions.lodge_appeal)

    name = forms.ChoiceField(label=_("Protest that was decided"))
    who = forms.CharField(label=_("Lodged by"), max_length=80)
    late = forms.BooleanField(
        label=_("The jury takes it although its time is over"), required=False,
        help_text=_("The time begins with the referee's decision and is as long as that for protests."),
    )  # fmt: skip

    def __init__(self, *args, page, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        self.fields["name"].choices = [(protest.name, protest.said) for protest in page.decided_protests]


class DecideAppeal(WithReason):
    heading = _("Decide an appeal")
    says = _("The jury decides, and nothing comes after it. A trial measured under protest counts once upheld.")
    done = _("The jury's decision is in the log.")
    action = staticmethod(actions.decide_appeal)

    name = forms.ChoiceField(label=_("Appeal"))
    upheld = forms.TypedChoiceField(
        label=_("The protest is, in the end,"),
        choices=[("yes", _("upheld")), ("no", _("not upheld"))],
        coerce=lambda value: value == "yes",
        widget=forms.RadioSelect,
    )

    def __init__(self, *args, page, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        self.fields["name"].choices = [(protest.name, protest.said) for protest in page.appeals]


class SettleAlarm(WithReason):
    heading = _("Settle an alarm")
    says = _("The referee has seen it and says how it stands. Nothing else changes.")
    button = _("Settle the alarm")
    done = _("The alarm is settled.")
    action = staticmethod(actions.settle_alarm)

    alarm = forms.ChoiceField(label=_("Alarm"))

    def __init__(self, *args, page, **kwargs):
        super().__init__(*args, page=page, **kwargs)
        self.fields["alarm"].choices = [
            (alarm.key, " ".join([alarm.says, *(f"({p.bib})" for p in alarm.who)])) for alarm in page.alarms
        ]


class TakeBack(WithReason):
    heading = _("Take a row back")
    says = _("It was recorded by mistake. The row stays in the log, struck through, and no longer stands.")
    button = _("Take it back")
    done = _("The row is taken back.")
    stern = True
    action = staticmethod(actions.take_back)

    row = forms.UUIDField(widget=forms.HiddenInput)

    def asked(self) -> dict[str, object]:
        return {"row": str(self.cleaned_data["row"]), "reason": self.cleaned_data["reason"]}


BY_NAME: dict[str, type[Decision]] = {
    "correct": Correct,
    "replacement": Replacement,
    "move": MoveTrial,
    "void": VoidTrial,
    "wind": SetWind,
    "protest": LodgeProtest,
    "decide-protest": DecideProtest,
    "appeal": LodgeAppeal,
    "decide-appeal": DecideAppeal,
    "alarm": SettleAlarm,
    "take-back": TakeBack,
}
