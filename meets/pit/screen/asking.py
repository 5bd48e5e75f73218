"""The questions of a trial as the page puts them: reasons to choose from, keys to press, figures to read back."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from meets.pit.draft import LATER, NO_READING, UNSAID, Draft, Flag
from meets.running.trials import TrialAsked
from scoring.marks import Unit, show_mark
from scoring.trials import FAIL_REASONS, FailReason


@dataclass(frozen=True, slots=True)
class Keypad:
    """How digits are typed in the meet's unit: how many there must and may be, and how the page sets the point."""

    format: str
    least: int
    most: int
    fractions: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """A question before a trial is recorded; `guess` is a mark to record instead, as a number and as shown."""

    sentence: str
    guess: int | None = None
    guess_shown: str = ""


@dataclass(frozen=True, slots=True)
class ReadBack:
    """What is read aloud before it is confirmed: figures as large as the screen, and words below."""

    figures: str
    says: str
    wind: str
    wind_says: str


def keypad_of(unit: Unit) -> Keypad:
    if unit is Unit.QUARTER_INCH:
        fractions = (("00", "0"), ("25", "¼"), ("50", "½"), ("75", "¾"))
        return Keypad("feet", 6, 6, fractions)
    return Keypad("metres", 3, 4)


def fail_reasons(*, triple: bool) -> list[tuple[str, str]]:
    """Reasons for a red flag with their names in forms; the last is for when the judge said none."""
    left_out = {FailReason.NOT_STATED} | (set() if triple else {FailReason.PHASES})
    listed = [(str(reason), _(says)) for reason, says in FAIL_REASONS.items() if reason not in left_out]
    return [*listed, (UNSAID, _(FAIL_REASONS[FailReason.NOT_STATED]))]


def flag_words() -> dict[str, str]:
    """What each answer to the first question means, for the read-back."""
    return {
        str(Flag.WHITE): "",
        str(Flag.RED): _("failed"),
        str(Flag.PASS): _("passes this trial"),
        str(Flag.RETIRE): _("retires: no more trials, the best stands"),
        str(Flag.NOT_MEASURED): _("valid, not measured"),
    }


def read_back(draft: Draft, unit: Unit) -> ReadBack:
    """The answers in figures and words."""
    if draft.flag not in list(Flag):
        return ReadBack("", "", "", "")
    says = flag_words()[draft.flag]
    if draft.flag == Flag.RED and draft.reason:
        says = f"{says}: {_(FAIL_REASONS[FailReason(draft.reason)])}"
    if draft.flag == Flag.RED and draft.protest:
        says = _("red flag, measured under protest")
    figures = draft.trial(unit)
    wind_says = {NO_READING: _("no reading"), LATER: _("wind comes later")}.get(draft.sign, "")
    return ReadBack("–" if figures == "-" else figures, says, "" if wind_says else draft.wind, wind_says)


def asked_of(questions: Iterable[TrialAsked], unit: Unit) -> tuple[Asked, ...]:
    return tuple(Asked(q.sentence, q.guess, "" if q.guess is None else show_mark(q.guess, unit)) for q in questions)
