"""The facts that a log holds: one small frozen class for each kind of row, and their plain form for storage.

An entry is named by its key (text, unique in the event). `turn` is (entry, round, replacement): replacement 0 is the
turn itself, 1 its replacement trial, and so on. Nothing here decides; `log` and `event` do.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import StrEnum

from scoring.errors import NotARow
from scoring.trials import FailReason, Result


@dataclass(frozen=True, slots=True)
class Drawn:
    """The start list: flights in order, each its entries in order. `seed` makes the lot again."""

    flights: tuple[tuple[str, ...], ...]
    method: str = "lot"
    seed: int = 0


@dataclass(frozen=True, slots=True)
class CheckedIn:
    """The athlete is here, with this bib."""

    entry: str


@dataclass(frozen=True, slots=True)
class DidNotStart:
    """The athlete is not here and takes no trial."""

    entry: str


@dataclass(frozen=True, slots=True)
class Joined:
    """Came late: turns before `round` are passes. In round 1 the referee may let them close the round."""

    entry: str
    round: int


@dataclass(frozen=True, slots=True)
class Left:
    """Away with leave: to another event, or to first aid; `back_at` as told, free text."""

    entry: str
    where: str = ""
    back_at: str = ""


@dataclass(frozen=True, slots=True)
class Returned:
    """Back from a leave."""

    entry: str


@dataclass(frozen=True, slots=True)
class Withdrew:
    """Takes no more trials: before the first one it is a DNS, later the best stands."""

    entry: str


@dataclass(frozen=True, slots=True)
class Added:
    """Named at the pit, not on the list: jumps as a guest under protest until the desk confirms."""

    entry: str
    flight: int = 1


@dataclass(frozen=True, slots=True)
class Confirmed:
    """The desk has confirmed an athlete added at the pit: an entry like any other from now on."""

    entry: str


@dataclass(frozen=True, slots=True)
class BoardSet:
    """The board this athlete jumps from, from the next trial on."""

    entry: str
    board_cm: int


@dataclass(frozen=True, slots=True)
class Jumped:
    """One trial. A mark beside a failure was measured under protest."""

    entry: str
    round: int
    result: Result
    mark: int | None = None
    replacement: int = 0
    reason: FailReason = FailReason.NOT_STATED
    board_cm: int | None = None
    under_protest: bool = False


@dataclass(frozen=True, slots=True)
class Replaced:
    """The referee gives a new trial for this turn; what was recorded for it is kept and void."""

    entry: str
    round: int
    replacement: int = 0


@dataclass(frozen=True, slots=True)
class Voided:
    """The rows this one supersedes do not stand: typed by mistake, second trial in a round, moved to another bib.

    `moved_to` names the entry whose body jumped, when that is why.
    """

    entry: str = ""
    round: int = 0
    replacement: int = 0
    moved_to: str = ""


@dataclass(frozen=True, slots=True)
class WindRead:
    """The reading for a turn, tenths of m/s; may come before the mark. None: declared without reading (NWI)."""

    entry: str
    round: int
    tenths: int | None
    replacement: int = 0


@dataclass(frozen=True, slots=True)
class NoGauge:
    """From here on there is no wind information: trials recorded later are NWI. `until` ends it."""

    until: bool = False


@dataclass(frozen=True, slots=True)
class TrialsConfirmed:
    """The referee has confirmed, after round 1, how many trials each takes and whether there is a cut."""

    starters: int
    rounds: int
    with_cut: bool


@dataclass(frozen=True, slots=True)
class CutTaken:
    """Who goes on after a round, as taken by the referee; `proposed` is what the engine proposed then."""

    after_round: int
    going_on: tuple[str, ...]
    proposed: tuple[str, ...]
    under_protest: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OrderCalled:
    """The order read out for a round and those after it; `proposed` is what the engine proposed then."""

    round: int
    order: tuple[str, ...]
    proposed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CalledIn:
    """After a correction the referee gives further trials to somebody the cut left out."""

    entry: str
    round: int


@dataclass(frozen=True, slots=True)
class Disregarded:
    """Trials of this entry from `round` on do not count, by the referee's decision."""

    entry: str
    round: int


@dataclass(frozen=True, slots=True)
class AlarmSettled:
    """The referee has seen an alarm and says how it stands."""

    alarm: str


@dataclass(frozen=True, slots=True)
class FlightsMerged:
    """From `round` on, these flights jump in one joint order."""

    round: int
    order: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FlightMoved:
    """A flight goes on at another pit, after a completed round."""

    flight: int
    pit: str


@dataclass(frozen=True, slots=True)
class Suspended:
    """Nobody jumps until it is resumed. `safety`: stopped by somebody at the pit."""

    safety: bool = False


@dataclass(frozen=True, slots=True)
class Resumed:
    """It goes on where it stopped."""


@dataclass(frozen=True, slots=True)
class Abandoned:
    """Not finished: marks of rounds 1 to `rounds_counted` count; 0: no result, no points."""

    rounds_counted: int


@dataclass(frozen=True, slots=True)
class Shortened:
    """For all alike: no round after `last_round`."""

    last_round: int


@dataclass(frozen=True, slots=True)
class RuleChanged:
    """The referee changes one field of the rule set for this event; `value` in its written form."""

    field: str
    value: str


@dataclass(frozen=True, slots=True)
class Card:
    """A yellow or red card."""

    entry: str
    colour: str


@dataclass(frozen=True, slots=True)
class Disqualified:
    """No mark of this event stands; those below move up, the cut is not replayed."""

    entry: str


@dataclass(frozen=True, slots=True)
class ProtestLodged:
    """A protest with its own name; about a turn if round is given, else about the event."""

    protest: str
    entry: str = ""
    round: int = 0
    replacement: int = 0
    by: str = ""


@dataclass(frozen=True, slots=True)
class ProtestDecided:
    """The referee's (or jury's) decision on a protest."""

    protest: str
    upheld: bool


@dataclass(frozen=True, slots=True)
class BoardChecked:
    """Line to sand edge, measured before a round; must equal the board's distance."""

    board_cm: int
    measured_cm: int


@dataclass(frozen=True, slots=True)
class ReadinessSigned:
    """Sand, runway, board and rakes are in order; nobody jumps before."""

    role: str = "referee"


@dataclass(frozen=True, slots=True)
class HandedOver:
    """Another person writes from here on."""

    to: str


@dataclass(frozen=True, slots=True)
class Closed:
    """The sheet is signed: the event is finished. A later row still may correct it."""


Fact = (
    Drawn | CheckedIn | DidNotStart | Joined | Left | Returned | Withdrew | Added | Confirmed | BoardSet
    | Jumped | Replaced | Voided | WindRead | NoGauge
    | TrialsConfirmed | CutTaken | OrderCalled | CalledIn | Disregarded | AlarmSettled
    | FlightsMerged | FlightMoved | Suspended | Resumed | Abandoned | Shortened | RuleChanged
    | Card | Disqualified | ProtestLodged | ProtestDecided
    | BoardChecked | ReadinessSigned | HandedOver | Closed
)  # fmt: skip


def _kind(fact_type: type) -> str:
    name = fact_type.__name__
    return "".join(f"_{letter.lower()}" if letter.isupper() else letter for letter in name).lstrip("_")


KINDS: dict[str, type] = {_kind(fact_type): fact_type for fact_type in typing.get_args(Fact)}
"""Name of the kind of row -> its class; the names are stored, so they only ever grow."""

_HINTS: dict[type, dict[str, object]] = {cls: typing.get_type_hints(cls) for cls in KINDS.values()}


def kind_of(fact: Fact) -> str:
    """The name of a fact's kind, as stored.

    >>> kind_of(CutTaken(3, ("a",), ("a",)))
    'cut_taken'
    """
    return _kind(type(fact))


def to_plain(fact: Fact) -> dict[str, object]:
    """A fact's values as text, numbers and lists; values at their default are left out.

    >>> to_plain(Jumped("31", 2, Result.MARK, 543))
    {'entry': '31', 'round': 2, 'result': 'mark', 'mark': 543}
    """
    values = ((f.name, getattr(fact, f.name), f.default) for f in fields(fact))
    return {name: _listed(value) for name, value, default in values if value != default}


def _listed(value: object) -> object:
    if isinstance(value, tuple):
        return [_listed(item) for item in value]
    return str(value) if isinstance(value, StrEnum) else value


def from_plain(kind: str, plain: Mapping[str, object]) -> Fact:
    """The fact that `to_plain` wrote. Raises NotARow naming the kind or field that cannot be.

    >>> from_plain("jumped", {"entry": "31", "round": 2, "result": "mark", "mark": 543}).mark
    543
    """
    if kind not in KINDS:
        raise NotARow(kind, expected=f"one of {', '.join(KINDS)}", where="kind")
    hints = _HINTS[KINDS[kind]]
    unknown = sorted(set(plain) - set(hints))
    if unknown:
        raise NotARow(unknown[0], expected=f"one of {', '.join(hints)}", where=kind)
    try:
        values = {name: _typed(value, hints[name], f"{kind}.{name}") for name, value in plain.items()}
        return typing.cast(Fact, KINDS[kind](**values))
    except TypeError as problem:
        raise NotARow(dict(plain), expected="every value of the kind", where=kind) from problem


def _typed(value: object, hint: object, where: str) -> object:
    """`value` as the type that the field has; refuses what is not exactly that."""
    origin = typing.get_origin(hint)
    if origin is types.UnionType:
        return None if value is None else _typed(value, typing.get_args(hint)[0], where)
    if origin is tuple:
        if not isinstance(value, list | tuple):
            raise NotARow(value, expected="a list", where=where)
        return tuple(_typed(item, typing.get_args(hint)[0], where) for item in value)
    assert isinstance(hint, type)
    if issubclass(hint, StrEnum):
        try:
            return hint(str(value))
        except ValueError as problem:
            raise NotARow(value, expected=", ".join(repr(str(m)) for m in hint), where=where) from problem
    if type(value) is not hint:
        raise NotARow(value, expected=hint.__name__, where=where)
    return value
