"""The fields of the grid read into cells, with a sentence for each that cannot be read."""

import re
from collections.abc import Iterable, Mapping

from django.utils.translation import gettext as _

from meets.grid.cells import Cells
from meets.running.digits import NOT_STARTED, trial_from_keys, wind_from_digits
from meets.running.words import say_refused
from scoring.errors import RuleError
from scoring.marks import Unit
from scoring.trials import Result, parse_trial, show_trial
from scoring.wind import parse_wind, show_wind

NAME = re.compile(r"(?P<kind>bib|t|w)_(?P<first>\d{1,2})_(?P<line>\d{1,3})(?:_(?P<round>\d{1,2}))?")


class Reader:
    """Reads the fields of a form. `wrong` says by field what cannot be read; then nothing is to be stored."""

    def __init__(self, bibs: Iterable[str], unit: Unit) -> None:
        self._bibs = {bib.casefold(): bib for bib in bibs}
        self._unit = unit
        self.wrong: dict[str, str] = {}

    def read(self, values: Mapping[str, str]) -> Cells:
        cells = Cells(no_gauge=bool(values.get("no_gauge")), order_written=not values.get("no_order"))
        lines = self._bibs_of_lines(values, cells)
        for name in dict.fromkeys(f"t{name[1:]}" for name in values if name.startswith(("t_", "w_"))):
            if parts := NAME.fullmatch(name):
                self._box(values, name, lines.get((int(parts["first"]), int(parts["line"])), ""), cells)
        for bib, own in cells.boxes.items():
            cells.boxes[bib] = dict(sorted(own.items()))
        return cells

    def cell(self, name: str, text: str) -> tuple[str, str]:
        """One cell by its flat name: what it says, and what is wrong with it."""
        kind, _bar, rest = name.partition("|")
        self.wrong.pop(name, None)
        if not text.strip():
            return "", ""
        if kind == "t":
            text = self._trial(name, text, int(rest.rpartition("|")[2]))
        elif kind == "w":
            text = self._wind(name, text, "")
        elif kind == "line":
            text = self._bib(name, text)
        return text, self.wrong.get(name, "")

    def _bib(self, name: str, text: str) -> str:
        bib = self._bibs.get(text.strip().casefold(), "")
        if not bib:
            says = _("Bib %(bib)s is not in this event. A late entry is added at the desk first.")
            self.wrong[name] = says % {"bib": text.strip()[:12]}
        return bib

    def _bibs_of_lines(self, values: Mapping[str, str], cells: Cells) -> dict[tuple[int, int], str]:
        found: dict[tuple[int, int], str] = {}
        named = sorted(
            ((int(parts["first"]), int(parts["line"])), name, text)
            for name, text in values.items()
            if (parts := NAME.fullmatch(name)) and parts["kind"] == "bib" and text.strip()
        )
        for (first, line), name, text in named:
            bib = self._bib(name, text)
            own = cells.lines.setdefault(first, [])
            if bib in own:
                self.wrong[name] = _("Bib %(bib)s has a line already.") % {"bib": bib}
            elif bib:
                own.append(bib)
                found[first, line] = bib
        return found

    def _box(self, values: Mapping[str, str], name: str, bib: str, cells: Cells) -> None:
        wind_name = f"w{name[1:]}"
        text, wind = values.get(name, "").strip(), values.get(wind_name, "").strip()
        if not text and not wind:
            return
        if not bib:
            self.wrong.setdefault(name, _("Whose is this? The line has no bib."))
            return
        round = int(name.rpartition("_")[2])
        trial = self._trial(name, text, round)
        read_wind = self._wind(wind_name, wind, trial)
        if name not in self.wrong and wind_name not in self.wrong:
            cells.boxes.setdefault(bib, {})[round] = (trial, read_wind)

    def _trial(self, name: str, text: str, round: int) -> str:
        typed = trial_from_keys(text, self._unit)
        if not typed:
            self.wrong[name] = _("A wind stands here without its trial.")
        elif typed == NOT_STARTED:
            if round != 1:
                self.wrong[name] = _("“Did not start” is written in the first box of a line.")
        else:
            protest = typed.startswith("x/")
            try:
                trial = parse_trial(typed.removeprefix("x/"), self._unit)
            except RuleError as problem:
                self.wrong[name] = say_refused(problem)
                return typed
            return f"x/{show_trial(trial, self._unit)}" if protest else show_trial(trial, self._unit)
        return typed

    def _wind(self, name: str, text: str, trial: str) -> str:
        if not text:
            return ""
        if trial in (str(Result.PASS), str(Result.RETIRED), NOT_STARTED):
            self.wrong[name] = _("Nobody jumped here, so there is no wind.")
            return ""
        try:
            return show_wind(parse_wind(wind_from_digits(text)))
        except RuleError as problem:
            self.wrong[name] = say_refused(problem)
            return ""
