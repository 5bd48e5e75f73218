"""What a log says of one athlete: here or away, the board, trials and winds, cards. Nothing here decides.

An entry is named by its key (text, unique in the event). A turn is (entry, round, replacement): replacement 0 is the
turn itself, 1 its replacement trial, and so on.
"""

from __future__ import annotations

from dataclasses import dataclass

from scoring.trials import FailReason, Result


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
class Card:
    """A yellow or red card."""

    entry: str
    colour: str


@dataclass(frozen=True, slots=True)
class Disqualified:
    """No mark of this event stands; those below move up, the cut is not replayed."""

    entry: str
