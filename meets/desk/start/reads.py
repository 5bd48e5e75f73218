"""What check-in and the draw show: who is expected, who is here, and whose board needs a look."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from meets.desk.event.log_words import METHODS
from meets.entries.bibs import bib_order
from meets.entries.values import show_board
from meets.models import Event
from meets.running.reach import reach_doubts
from meets.running.reads import Person, entries_of, people_of, rules_of, state_of
from meets.running.words import year_words
from scoring.flights import DrawMethod
from scoring.marks import Unit


@dataclass(frozen=True)
class CheckInLine:
    """An athlete at check-in. `here`: "here", "not" or nothing yet; `reach`: a doubt about the board, in words."""

    person: Person
    here: str
    board: str
    reach: str
    flight: int
    order: int
    pending: bool

    @property
    def year(self) -> str:
        return year_words(self.person.year_group)


@dataclass(frozen=True)
class CheckIn:
    lines: tuple[CheckInLine, ...]
    begun: bool
    version: int

    @property
    def counts(self) -> tuple[int, int, int]:
        """Here, not here, not yet asked."""
        here = [line.here for line in self.lines]
        return here.count("here"), here.count("not"), here.count("")


def check_in_of(event: Event) -> CheckIn:
    entries = entries_of(event)
    state = state_of(event, entries)
    people = people_of(event, entries)
    unit = Unit(event.meet.unit)
    boards = {entry.line.entry: entry.board_cm for entry in state.entries}
    reach = reach_doubts(event, entries, {str(one.pk): boards.get(str(one.pk)) or one.board_cm for one in entries})
    lines = []
    for entry in state.entries:
        key = entry.line.entry
        here = "here" if entry.checked_in else "not" if entry.status == "DNS" else ""
        board = show_board(entry.board_cm, unit) if entry.board_cm else ""
        lines.append(CheckInLine(people[key], here, board, reach[key], entry.flight, entry.order, entry.pending))
    lines.sort(key=lambda line: bib_order(line.person.bib))
    return CheckIn(tuple(lines), any(entry.turns for entry in state.entries), state.version)


@dataclass(frozen=True)
class FlightLine:
    """One line of a flight as drawn."""

    order: int
    person: Person
    board: str


@dataclass(frozen=True)
class Draw:
    """The start list as it stands. `method` and `seed` make it again."""

    version: int
    method: str
    seed: int
    by: str
    flights: tuple[tuple[FlightLine, ...], ...]
    begun: bool
    entered: int
    missing: tuple[Person, ...]


def draw_of(event: Event) -> Draw:
    entries = entries_of(event)
    state = state_of(event, entries)
    people = people_of(event, entries)
    unit = Unit(event.meet.unit)
    row = event.log.filter(kind="drawn").order_by("rev").last()
    listed = {entry for flight in state.flights for entry in flight}
    boards = {entry.line.entry: entry.board_cm for entry in state.entries}
    flights = tuple(
        tuple(
            FlightLine(order, people[key], show_board(boards[key], unit) if boards.get(key) else "")
            for order, key in enumerate(flight, 1)
        )
        for flight in state.flights
    )
    return Draw(
        version=state.draw_version,
        method=method_words(row.values.get("method", "lot")) if row else "",
        seed=row.values.get("seed", 0) if row else 0,
        by=row.by if row else "",
        flights=flights,
        begun=any(entry.turns for entry in state.entries),
        entered=len(people),
        missing=tuple(person for key, person in people.items() if state.flights and key not in listed),
    )


def method_words(method: str) -> str:
    return str(METHODS[DrawMethod(method)]) if method in METHODS else _("in the order of a typed sheet")


def draw_methods(event: Event) -> list[tuple[str, str]]:
    """Ways to make flights, the one of the rule set first and named as such."""
    own = rules_of(event).first_order
    methods = sorted(METHODS.items(), key=lambda item: item[0] != own)
    return [
        (str(method), _("%(method)s (as the rule set says)") % {"method": words} if method == own else str(words))
        for method, words in methods
    ]
