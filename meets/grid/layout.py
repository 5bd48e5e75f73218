"""How a field sheet of an event looks on the screen: blocks of rounds, lines in the order of the paper, boxes."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from meets.models import Entry, Event
from meets.running.digits import NOT_STARTED
from meets.running.reads import Person, entries_of, people_of, rows_of, state_of
from scoring.facts import Drawn
from scoring.marks import Unit
from scoring.rulesets import RuleSet

SPARE_LINES = 3
# Signs without a wind beside them, and signs after which a line has no more boxes.
NO_WIND = ("x", "-", "r", "o", NOT_STARTED)
ENDS_LINE = ("r", NOT_STARTED)


@dataclass(frozen=True, slots=True)
class Box:
    """A trial and its wind: their names in the form, what is typed, and what is wrong with it."""

    round: int
    trial: str
    wind: str
    typed: str = ""
    typed_wind: str = ""
    wrong: str = ""
    wrong_wind: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the sheet. `given`: its bib is printed on the sheet, otherwise it is typed."""

    number: int
    name: str
    bib: str
    given: bool
    who: str
    boxes: tuple[Box, ...]
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Block:
    """Rounds that are written in one order."""

    first: int
    rounds: tuple[int, ...]
    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """The whole form. `version` 0: nothing was drawn, and the bibs of all lines are typed. `names` by bib."""

    version: int
    versions: tuple[int, ...]
    flight: int
    flights: tuple[int, ...]
    later_lines: int
    blocks: tuple[Block, ...]
    feet: bool
    names: Mapping[str, str]
    wrong: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """Which sheet is typed: its start list version, one flight or all (0), and how many lines later blocks have."""

    version: int | None = None
    flight: int = 0
    later_lines: int | None = None


@dataclass(slots=True)
class Typed:
    """What stands in the form, by the names of its fields, and what is wrong with it."""

    values: Mapping[str, str] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)

    def __getitem__(self, name: str) -> str:
        return self.values.get(name, "")


def first_rounds(rules: RuleSet) -> tuple[int, ...]:
    """The first round of every block: a cut or a new order begins one.

    >>> from scoring.rulesets import rule_set
    >>> [first_rounds(rule_set(name)) for name in ("international", "three-only", "two-cuts")]
    [(1, 4), (1,), (1, 4, 6)]
    """
    later = {after + 1 for after, _many in rules.cuts} | set(rules.reorder_before)
    return (1, *sorted(first for first in later if 1 < first <= rules.rounds))


def keys_by_bib(entries: Iterable[Entry]) -> dict[str, str]:
    """Bib -> entry key; who has no bib yet is known by the number of the entry."""
    return {entry.bib or f"#{entry.pk}": str(entry.pk) for entry in entries}


def layout(event: Event, choice: Choice, typed: Typed) -> Layout:
    """The form of one sheet with what was typed in it."""
    entries = entries_of(event)
    state, people = state_of(event, entries), people_of(event, entries)
    draws = [row.fact.flights for row in rows_of(event) if isinstance(row.fact, Drawn)]
    version = choice.version if choice.version and choice.version <= len(draws) else len(draws)
    flights = draws[version - 1] if version else ()
    chosen = choice.flight if choice.flight <= len(flights) else 0
    given = [
        people[entry]
        for number, flight in enumerate(flights, 1)
        for entry in flight
        if entry in people and chosen in (0, number)
    ]
    names = {person.bib: _who(person) for person in people.values()}
    rules = state.rules
    firsts = first_rounds(rules)
    many = max((many for _after, many in rules.cuts), default=len(people))
    later_lines = choice.later_lines or min(many, len(people)) + SPARE_LINES
    lasts = [*(first - 1 for first in firsts[1:]), rules.rounds]
    blocks = []
    for first, last in zip(firsts, lasts, strict=True):
        rounds = tuple(range(first, last + 1))
        printed = given if first == 1 else []
        empty = (SPARE_LINES if given else len(people)) if first == 1 else later_lines
        bibs = [*(person.bib for person in printed), *[""] * empty]
        lines = tuple(_line(first, number, rounds, typed, bib, names) for number, bib in enumerate(bibs, 1))
        blocks.append(Block(first, rounds, _title(rounds), lines))
    return Layout(
        version=version,
        versions=tuple(range(1, len(draws) + 1)),
        flight=chosen,
        flights=tuple(range(1, len(flights) + 1)),
        later_lines=later_lines,
        blocks=tuple(blocks),
        feet=Unit(event.meet.unit) is Unit.QUARTER_INCH,
        names=names,
        wrong=tuple(dict.fromkeys(typed.wrong.values())),
    )


def _who(person: Person) -> str:
    guest = _("guest") if person.guest else ""
    return " ".join(filter(None, (person.name, person.school_code, guest)))


def _line(first: int, number: int, rounds: tuple[int, ...], typed: Typed, bib: str, names: Mapping[str, str]) -> Line:
    """A line of a block; without a printed `bib` it is the one that was typed, if any."""
    name = f"bib_{first}_{number}"
    boxes = []
    for round in rounds:
        trial, wind = f"t_{first}_{number}_{round}", f"w_{first}_{number}_{round}"
        wrong, wrong_wind = typed.wrong.get(trial, ""), typed.wrong.get(wind, "")
        boxes.append(Box(round, trial, wind, typed[trial], typed[wind], wrong, wrong_wind))
    shown = bib or typed[name]
    return Line(number, name, shown, bool(bib), names.get(shown, ""), tuple(boxes), typed.wrong.get(name, ""))


def _title(rounds: tuple[int, ...]) -> str:
    if len(rounds) == 1:
        return _("Round %(round)d") % {"round": rounds[0]}
    return _("Rounds %(first)d to %(last)d") % {"first": rounds[0], "last": rounds[-1]}
