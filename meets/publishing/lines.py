"""What in the lines of a result follows from the log of its event: places, bests and series, and points from these."""

from collections.abc import Mapping

from django.utils.translation import gettext as _

from meets.publishing.rederive import points_in
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.places import Placed
from scoring.rulesets import RuleSet
from scoring.state import EntryState, EventState, TurnState
from scoring.trials import Result, Trial, show_trial
from scoring.wind import Wind, WindStatus, show_wind, wind_status

RESULTS = {
    Result.MARK: "mark",
    Result.FAIL: "fail",
    Result.PASS: "pass",
    Result.RETIRED: "retired",
    Result.NOT_MEASURED: "not measured",
}


def line_from_log(state: EventState, placed: Placed, unit: Unit) -> dict[str, object]:
    """The part of a line that the log decides. `state`: as the public may see it."""
    entry = state.entry(placed.entry)
    best = entry.series.best_trial if placed.best is not None else None
    words = _Words(state.rules, unit)
    return {
        "entry": placed.entry,
        "guest": placed.guest,
        "klass": entry.line.klass,
        "place": placed.place,
        "shared": bool(placed.shared_with),
        "status": placed.status,
        "status_reason": entry.status_reason if placed.status == "DQ" else "",
        "best": words.mark(best) if best else None,
        "best_legal": words.best_legal(entry, best) if best else None,
        "series": [] if placed.status == "DQ" else words.series(entry),
        "qualified": entry.qualified,
    }


def add_points(document: Mapping[str, object]) -> None:
    """What the places of the lines give is written into them."""
    points = points_in(document)
    for line in document["lines"]:
        line["points"] = points.get(line["entry"], "")


class _Words:
    """Marks, winds and trials as documents hold them, under the rules and in the unit of an event."""

    def __init__(self, rules: RuleSet, unit: Unit) -> None:
        self.limit, self.unit = rules.wind_limit_tenths, unit

    def mark(self, trial: Trial) -> dict[str, object]:
        shown = show_mark(trial.valid_mark or 0, self.unit)
        return {"mark": trial.valid_mark, "shown": shown, "wind": self.wind(trial)}

    def best_legal(self, entry: EntryState, best: Trial) -> dict[str, object] | None:
        """The best with a legal wind, where the best itself had too much."""
        if wind_status(best.wind, self.limit) is not WindStatus.WINDY:
            return None
        trials = (trial for trial in entry.series.trials if trial.valid_mark)
        legal = (trial for trial in trials if wind_status(trial.wind, self.limit) is WindStatus.LEGAL)
        trial = max(legal, key=lambda trial: trial.valid_mark or 0, default=None)
        return self.mark(trial) if trial else None

    def series(self, entry: EntryState) -> list[dict[str, object]]:
        turns = [turn for turn in entry.turns if turn.trial is not None or turn.disputed]
        jumped = {turn.turn.round for turn in turns if turn.counts}
        found = [self.turn(turn) for turn in turns]
        for round, trial in entry.by_round.items():
            if round not in jumped:
                missed = TurnState(Turn(entry.line.entry, round), trial)
                found.append(self.turn(missed))
        return sorted(found, key=lambda trial: (trial["round"], trial["replacement"]))

    def turn(self, turn: TurnState) -> dict[str, object]:
        trial = turn.trial or Trial(Result.MARK)
        if turn.held:
            words = _("to be settled") if turn.disputed else _("under protest")
        else:
            words = show_trial(trial, self.unit)
        valid = trial.valid_mark
        failed = valid is None and trial.result is Result.MARK and not turn.held
        result = "mark" if valid is not None or turn.disputed else RESULTS[Result.FAIL if failed else trial.result]
        return {
            "round": turn.turn.round,
            "replacement": turn.turn.replacement,
            "result": result,
            "mark": valid,
            "shown": words,
            "wind": None if turn.disputed else self.wind(trial),
            "board_cm": trial.board_cm if trial.taken and not turn.disputed else None,
            "counts": turn.counts,
            "held": turn.held,
        }

    def wind(self, trial: Trial) -> dict[str, object] | None:
        """A reading, `nwi` where it was declared missing, `owed` where a mark still waits for it."""
        if trial.wind is None:
            return {"owed": True, "shown": _("wind to come")} if trial.valid_mark is not None else None
        if trial.wind.tenths is None:
            return {"nwi": True, "shown": show_wind(trial.wind)}
        legal = wind_status(Wind(trial.wind.tenths), self.limit) is WindStatus.LEGAL
        return {"tenths": trial.wind.tenths, "shown": show_wind(trial.wind), "legal": legal}
