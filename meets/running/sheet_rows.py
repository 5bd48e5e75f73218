"""The log of an event with the rows of a sheet behind it, while a sheet is read. Nothing is stored."""

from meets.models import Event
from meets.running.on_paper import Decision, SheetQuestion, SheetReading
from meets.running.reads import entries_of, rows_of, rules_of, sand_cm_of, start_lines
from meets.running.record import NewRow
from meets.running.trials import PAPER
from scoring.event import replay
from scoring.facts import Fact, Jumped
from scoring.log import Row, Turn, standing
from scoring.marks import Unit
from scoring.state import EventState


class SheetRows:
    """Takes the rows that a sheet adds, and answers what the event would be with them."""

    def __init__(self, event: Event) -> None:
        self.event = event
        self.entries = {str(entry.pk): entry for entry in entries_of(event)}
        self.bibs = {key: entry.bib or f"#{key}" for key, entry in self.entries.items()}
        self.rules, self.unit, self.sand_cm = rules_of(event), Unit(event.meet.unit), sand_cm_of(event)
        self._lines = start_lines(list(self.entries.values()))
        self._rows = rows_of(event)
        self._agreeing = list(self._rows)
        self.log = standing(self._rows)
        self.out = SheetReading(self._rows[-1].rev if self._rows else 0)

    def add(self, fact: Fact, *, reason: str = "", contradicts: bool = False) -> None:
        """A row behind the others; `contradicts` another record, which decisions then go by."""
        self.out.facts.append(NewRow(fact, reason))
        self._rows.append(self._next(fact))
        if not contradicts:
            self._agreeing.append(self._rows[-1])

    def state(self, *also: Fact, everything: bool = False) -> EventState:
        """The event with the sheet so far. What contradicts another record is left out, unless `everything`."""
        rows = self._rows if everything else self._agreeing
        return self._replayed([*rows, *map(self._next, also)])

    def state_without(self, turn: Turn | None) -> EventState:
        """The event with the sheet so far, but for the trial of one turn."""
        return self._replayed([row for row in self._agreeing if turn is None or _turn_of(row) != turn])

    def _replayed(self, rows: list[Row]) -> EventState:
        return replay(self._lines, rows, self.rules, unit=self.unit, sand_cm=self.sand_cm)

    def _next(self, fact: Fact) -> Row:
        rev = self.out.version + len(self.out.facts) + 1
        return Row(f"sheet {rev}", rev, fact, recorder=PAPER)

    def refuse(self, sentence: str) -> None:
        self.out.refused.append(sentence)

    def question(self, kind: str, entry: str, round: int, sentence: str) -> None:
        self.out.questions.append(SheetQuestion(f"{entry}-{round}-{kind}", entry, round, sentence))

    def decided(self, sentence: str, departs: bool = False) -> None:
        self.out.decisions.append(Decision(sentence, departs))


def _turn_of(row: Row) -> Turn | None:
    fact = row.fact
    return Turn.of(fact) if isinstance(fact, Jumped) else None
