"""The series table of an event as plain values: who stands where, every trial with its wind, and why."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from meets.entries.values import wind_words
from meets.running.reads import Person
from meets.running.words import say, year_words
from scoring.explain import explain_place
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.places import Placed
from scoring.state import EntryState, EventState, TurnState
from scoring.trials import Result, show_trial
from scoring.wind import WindStatus, wind_status


@dataclass(frozen=True)
class Cell:
    """One turn as it is shown. `notes` say in words what a sign or a stroke in the cell means."""

    turn: Turn | None = None
    text: str = ""
    wind: str = ""
    windy: bool = False
    best: bool = False
    counts: bool = True
    void: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class SeriesLine:
    """One athlete's line. `rank` is the place as text, shared ones with an equals sign, `G` for a guest."""

    entry: str
    rank: str
    person: Person
    flight: int
    order: int
    cells: tuple[Cell, ...]
    best: str
    best_wind: str
    best_legal: str
    status: str
    why: tuple[str, ...]
    here: str
    goes_on: bool | None
    points: str = ""
    is_up: bool = False

    @property
    def year(self) -> str:
        return year_words(self.person.year_group)


def series_lines(
    state: EventState,
    people: Mapping[str, Person],
    unit: Unit,
    points: Mapping[str, str],
    no_points: Mapping[str, str],
) -> tuple[SeriesLine, ...]:
    """Every entry in the order of the result list; `no_points` says of some why they score none."""
    entries = {entry.line.entry: entry for entry in state.entries}
    calls = _calls(state)
    up = state.callable[0].turn.entry if state.callable else ""
    lines = []
    for placed in state.places:
        entry = entries[placed.entry]
        lines.append(
            SeriesLine(
                entry=placed.entry,
                rank=_rank(placed),
                person=people[placed.entry],
                flight=entry.flight,
                order=entry.order,
                cells=cells_of(entry, state, unit),
                best="" if placed.best is None else show_mark(placed.best, unit),
                best_wind=_best_wind(entry),
                best_legal=_best_legal(entry, unit),
                status=placed.status,
                why=(*why(placed, entry, people, unit), *_sentences(no_points.get(placed.entry, ""))),
                here=calls.get(placed.entry) or _here(entry),
                goes_on=entry.goes_on,
                points=points.get(placed.entry, ""),
                is_up=placed.entry == up,
            )
        )
    return tuple(lines)


def _rank(placed: Placed) -> str:
    if placed.place is None:
        return _("G") if placed.guest and placed.best is not None else ""
    shared = "=" if placed.shared_with else ""
    return f"{placed.place}{shared}"


def why(placed: Placed, entry: EntryState, people: Mapping[str, Person], unit: Unit) -> tuple[str, ...]:
    """Why this place: what separated it from those with an equal best."""
    sentences = explain_place(placed, lambda key: people[key].bib, unit, reason=entry.status_reason.rstrip("."))
    return tuple(say(sentence) for sentence in sentences)


def _sentences(words: str) -> tuple[str, ...]:
    return (capfirst(words),) if words else ()


def _calls(state: EventState) -> dict[str, str]:
    words = (_("up"), _("next"), _("then"))
    first_of: dict[str, str] = {}
    for turn, word in zip(state.callable, words, strict=False):
        first_of.setdefault(turn.turn.entry, word)
    return first_of


def _here(entry: EntryState) -> str:
    if entry.away is not None:
        return _("away: %(where)s") % {"where": entry.away} if entry.away else _("away")
    if entry.pending:
        return _("added at the pit, to be confirmed")
    return ""


def _best_wind(entry: EntryState) -> str:
    trial = entry.series.best_trial
    return wind_words(trial.wind) if trial else ""


def _best_legal(entry: EntryState, unit: Unit) -> str:
    legal = entry.series.best_legal
    return "" if legal is None or legal == entry.series.best else show_mark(legal, unit)


def cells_of(entry: EntryState, state: EventState, unit: Unit) -> tuple[Cell, ...]:
    """One cell for each round; a replacement trial stands in the cell of its round, the old one struck."""
    cells = []
    for round in range(1, state.rounds + 1):
        turns = [turn for turn in entry.turns if turn.turn.round == round]
        cells.append(_cell(turns, entry, state, unit, round))
    return tuple(cells)


def _cell(turns: list[TurnState], entry: EntryState, state: EventState, unit: Unit, round: int) -> Cell:
    shown = next((turn for turn in reversed(turns) if turn.trial is not None), turns[-1] if turns else None)
    if shown is None:
        return Cell()
    void = tuple(show_trial(trial, unit) for turn in turns for trial, _why in turn.void)
    reasons = [why for turn in turns for _trial, why in turn.void if why]
    if shown.trial is None:
        return Cell(shown.turn, void=void, notes=tuple(reasons))
    trial = shown.trial
    windy = wind_status(trial.wind, entry.series.legal_limit_tenths) is WindStatus.WINDY
    counted = entry.by_round.get(round)
    best = trial.valid_mark is not None and counted == trial and trial.valid_mark == entry.series.best
    return Cell(
        turn=shown.turn,
        text=show_trial(trial, unit),
        wind=wind_words(trial.wind) or (_("wind?") if trial.result is Result.MARK else ""),
        windy=windy and trial.valid_mark is not None,
        best=best,
        counts=shown.counts,
        void=void,
        notes=(*_notes(shown, state), *reasons),
    )


def _notes(turn: TurnState, state: EventState) -> list[str]:
    notes = []
    if turn.disputed:
        notes.append(_("the recorders differ"))
    if turn.wind_disputed:
        notes.append(_("the winds differ"))
    if turn.trial and turn.trial.under_protest and not turn.trial.upheld:
        notes.append(_("measured under protest"))
    if turn.held:
        notes.append(_("not shown to the public"))
    if not turn.counts:
        notes.append(_("does not count"))
    return notes
