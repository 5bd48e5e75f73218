"""The series of an event as everybody may see it: plain values, from a state in which held marks are left out."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from meets.board.people import Person
from meets.board.plot import Plot, plots_of
from meets.entries.values import wind_words
from scoring.marks import Unit, show_mark
from scoring.places import Placed
from scoring.state import EntryState, EventState, TurnState
from scoring.trials import Result, show_trial
from scoring.wind import Wind, WindStatus, wind_status


@dataclass(frozen=True, slots=True)
class Cell:
    """One round. `held`: why the mark is not shown, in words; `mark` is None without a mark that everybody may see."""

    text: str = ""
    says: str = ""
    wind: str = ""
    wind_tenths: int | None = None
    windy: bool = False
    best: bool = False
    counts: bool = True
    held: str = ""
    mark: int | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """An athlete's line. `place` as text, shared ones with an equals sign, `G` for a guest. `inside`: would go on.

    Places are those of the impairment class `klass`, if there is one.
    """

    entry: str
    place: str
    person: Person
    cells: tuple[Cell, ...]
    best: str
    best_wind: str
    windy: bool
    best_legal: str
    status: str
    qualified: str
    is_up: bool
    out: bool
    inside: bool | None
    first_outside: bool
    away: bool
    plot: Plot | None = None
    klass: str = ""

    @property
    def held(self) -> str:
        """Why a mark of this line is not shown; the first reason is enough."""
        return next((cell.held for cell in self.cells if cell.held), "")


def lines_of(
    state: EventState, people: Mapping[str, Person], unit: Unit, going_on: Collection[str] | None, up: str = ""
) -> tuple[Line, ...]:
    """Everybody in the order of the result. `going_on`: who would go on now, None where no cut is ahead; `up`: whose
    turn it is."""
    entries = {entry.line.entry: entry for entry in state.entries}
    cells = {key: _cells(entry, state, unit) for key, entry in entries.items()}
    plots = plots_of(cells)
    lines: list[Line] = []
    was_inside, klass = True, ""
    for placed in state.places:
        key, entry = placed.entry, entries[placed.entry]
        if entry.line.klass != klass:
            was_inside, klass = True, entry.line.klass
        inside = None if going_on is None or entry.goes_on is False else key in going_on
        stays = entry.goes_on is not False and inside is not False
        lines.append(
            _line(
                placed, entry, people[key], cells[key], unit,
                is_up=key == up, inside=inside, plot=plots.get(key),
                first_outside=was_inside and not stays and bool(lines), klass=klass,
            )
        )  # fmt: skip
        was_inside = stays
    return tuple(lines)


def _line(
    placed: Placed, entry: EntryState, person: Person, cells: tuple[Cell, ...], unit: Unit, **beside: object
) -> Line:
    best = entry.series.best_trial if placed.best is not None else None
    limit = entry.series.legal_limit_tenths
    legal = entry.series.best_legal
    held = any(cell.held for cell in cells)
    return Line(
        entry=placed.entry,
        place=_place(placed),
        person=person,
        cells=cells,
        best="" if placed.best is None else show_mark(placed.best, unit),
        best_wind=wind_or_owed(best.wind) if best else "",
        windy=best is not None and wind_status(best.wind, limit) is WindStatus.WINDY,
        best_legal="" if legal is None or legal == placed.best else show_mark(legal, unit),
        # Nobody is without a mark for good while one of theirs is held.
        status="" if held and placed.status == "NM" else placed.status,
        qualified=entry.qualified,
        out=entry.goes_on is False,
        away=entry.away is not None,
        **beside,
    )


def _place(placed: Placed) -> str:
    if placed.place is None:
        return _("G") if placed.guest and placed.best is not None else ""
    return f"{placed.place}=" if placed.shared_with else str(placed.place)


def wind_or_owed(wind: Wind | None) -> str:
    """A reading, `NWI`, or that it is still to come."""
    return wind_words(wind) or _("wind?")


def _cells(entry: EntryState, state: EventState, unit: Unit) -> tuple[Cell, ...]:
    """One cell for each round. A trial that was voided, or replaced by another, is not shown at all."""
    if entry.status == "DQ":
        return tuple(Cell() for _round in range(state.rounds))
    found = []
    for round in range(1, state.rounds + 1):
        turns = [t for t in entry.turns if t.turn.round == round and (t.trial is not None or t.held)]
        found.append(cell_of(turns[-1], entry, unit) if turns else _missed(entry, round, unit))
    return tuple(found)


def _missed(entry: EntryState, round: int, unit: Unit) -> Cell:
    trial = entry.by_round.get(round)
    return Cell() if trial is None else Cell(text=show_trial(trial, unit), says=_result_words()[trial.result])


def cell_of(turn: TurnState, entry: EntryState, unit: Unit) -> Cell:
    """A turn as everybody may see it."""
    if turn.held or turn.trial is None:
        why = _("being settled by the referee") if turn.disputed else _("under protest")
        return Cell(text="*", says=why, held=why)
    trial = turn.trial
    mark = trial.valid_mark
    text = show_trial(trial, unit)
    if mark is None:
        return Cell(text=text, says=_result_words()[trial.result], counts=turn.counts)
    counted = entry.by_round.get(turn.turn.round) == trial and turn.counts
    return Cell(
        text=text if turn.counts else f"({text})",
        says=text if turn.counts else _("%(mark)s, does not count") % {"mark": text},
        wind=wind_or_owed(trial.wind),
        wind_tenths=trial.wind.tenths if trial.wind else None,
        windy=wind_status(trial.wind, entry.series.legal_limit_tenths) is WindStatus.WINDY,
        best=counted and mark == entry.series.best,
        counts=turn.counts,
        mark=mark,
    )


def _result_words() -> dict[Result, str]:
    return {
        Result.MARK: _("failed"),
        Result.FAIL: _("failed"),
        Result.PASS: _("pass"),
        Result.RETIRED: _("retired"),
        Result.NOT_MEASURED: _("valid, not measured"),
    }
