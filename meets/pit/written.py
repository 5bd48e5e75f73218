"""Turns as the pages of a pit name and show them: in addresses, in a series, among the last entries."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from meets.running.reads import Person, SessionView
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.state import EntryState
from scoring.trials import Trial, show_trial
from scoring.wind import Wind, show_wind


@dataclass(frozen=True, slots=True)
class Written:
    """One trial as it stands in a series or among the last entries."""

    turn: Turn
    text: str
    wind: str = ""
    person: Person | None = None
    best: bool = False
    void: bool = False
    disputed: bool = False
    under_protest: str = ""


def turn_from(text: str) -> Turn | None:
    """A turn as an address carries it: `31-2-0`."""
    parts = text.split("-")
    if len(parts) != 3 or not all(part.isdecimal() and len(part) < 10 for part in parts):
        return None
    return Turn(parts[0], int(parts[1]), int(parts[2]))


def turn_name(turn: Turn) -> str:
    return f"{turn.entry}-{turn.round}-{turn.replacement}"


def event_of(view: SessionView, entry: str) -> int | None:
    """Which event of the session an entry is in."""
    return next((event_id for event_id, people in view.people.items() if entry in people), None)


def written_series(entry: EntryState, unit: Unit) -> tuple[Written, ...]:
    """The trials of an entry in their order, those that were replaced or voided struck out."""
    best = entry.series.best_trial
    found = []
    for turn in entry.turns:
        found += [written(turn.turn, trial, unit, void=True) for trial, _why in turn.void]
        if turn.trial is not None:
            found.append(written(turn.turn, turn.trial, unit, best=turn.trial is best, disputed=turn.disputed))
    return tuple(found)


def wind_shown(wind: Wind | None) -> str:
    """With the sign that people write for less than nothing, as phones write their own."""
    return show_wind(wind).replace("-", "−")


def written(turn: Turn, trial: Trial, unit: Unit, *, person: Person | None = None, **more: bool) -> Written:
    protested = show_mark(trial.mark, unit) if trial.under_protest and trial.mark is not None else ""
    wind = wind_shown(trial.wind)
    if trial.mark is not None and trial.wind is None:
        wind = _("wind owed")
    return Written(turn, show_trial(trial, unit), wind, person, under_protest=protested, **more)
