"""What a log says of a whole event: the draw, decisions of the referee, breaks, protests, signatures.

Nothing here decides; entries are named by their keys.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Drawn:
    """The start list: flights in order, each its entries in order. `seed` makes the lot again."""

    flights: tuple[tuple[str, ...], ...]
    method: str = "lot"
    seed: int = 0


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
class ProtestLodged:
    """A protest with its own name; about a turn if round is given, else about the event."""

    protest: str
    entry: str = ""
    round: int = 0
    replacement: int = 0
    by: str = ""


@dataclass(frozen=True, slots=True)
class ProtestDecided:
    """The referee's decision on a protest."""

    protest: str
    upheld: bool


@dataclass(frozen=True, slots=True)
class AppealLodged:
    """Somebody appeals to the jury against the referee's decision on a protest."""

    protest: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class AppealDecided:
    """The jury's decision: whether the protest itself is upheld in the end, whatever the referee said."""

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
