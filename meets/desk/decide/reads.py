"""One turn as its page shows it."""

from dataclasses import dataclass
from datetime import datetime

from meets.desk.event.reads import EventPage
from meets.entries.values import wind_words
from meets.running.reads import Person, rows_of
from scoring.facts import Jumped, WindRead
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.trials import Trial
from scoring.wind import Wind, show_wind


@dataclass(frozen=True)
class Said:
    """What one record says of a turn."""

    recorder: str
    by: str
    at: datetime | None
    trial: str
    wind: str


@dataclass(frozen=True)
class TurnPage:
    """One turn: what stands, what each record says, what was and does not count any more."""

    turn: Turn
    person: Person
    text: str
    wind: str
    owes_wind: bool
    fail_reason: str
    board_cm: int | None
    under_protest: bool
    disputed: bool
    counts: bool
    said: tuple[Said, ...]
    void: tuple[tuple[str, str], ...]


def turn_page(page: EventPage, entry: str, round: int, replacement: int) -> TurnPage | None:
    """None if nothing was recorded for this turn."""
    wanted = Turn(entry, round, replacement)
    if entry not in page.people:
        return None
    found = next((turn for turn in page.state.entry(entry).turns if turn.turn == wanted), None)
    if found is None:
        return None
    unit, trial = Unit(page.event.meet.unit), found.trial
    rows = {row.id: row for row in rows_of(page.event)} if found.rows or found.wind_rows else {}
    winds = {
        rows[key].recorder: wind_words(Wind(fact.tenths))
        for key in found.wind_rows
        if isinstance(fact := rows[key].fact, WindRead)
    }
    return TurnPage(
        turn=wanted,
        person=page.people[entry],
        text=_typed(trial, unit) if trial else "",
        wind=show_wind(trial.wind) if trial else "",
        owes_wind=wanted in page.state.owed_winds,
        fail_reason=str(trial.reason) if trial else "",
        board_cm=trial.board_cm if trial else None,
        under_protest=bool(trial and trial.under_protest),
        disputed=found.disputed or found.wind_disputed,
        counts=found.counts,
        said=tuple(
            Said(row.recorder, row.by, row.at, _typed(fact, unit), winds.get(row.recorder, ""))
            for key in found.rows
            if isinstance(fact := (row := rows[key]).fact, Jumped)
        ),
        void=tuple((_typed(old, unit), why) for old, why in found.void),
    )


def _typed(trial: Trial | Jumped, unit: Unit) -> str:
    """A trial as it would be typed: the mark also where it was measured under protest."""
    return show_mark(trial.mark, unit) if trial.mark is not None else str(trial.result)
