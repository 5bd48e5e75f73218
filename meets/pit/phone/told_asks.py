"""What a phone is told so that it catches slips itself, offline too. The form of it all is described in `state.py`."""

from collections.abc import Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Guess:
    """What may have been meant. `add`: that much more. With `swap`, the first of these that lies in it: two
    neighbouring digits exchanged (the smallest number first, none beginning with 0), then the mark and `add`.
    """

    add: int
    swap: Sequence[int] | None


@dataclass(frozen=True, slots=True)
class Band:
    """Marks that raise a question. `says` has {mark}, and {guess} where it asks which of the two is right."""

    from_mark: int = field(metadata={"key": "from"})
    to_mark: int = field(metadata={"key": "to"})
    kind: str
    says: str
    guess: Guess | None


@dataclass(frozen=True, slots=True)
class Asks:
    """Questions about the next turn of an athlete. Kind `range` in `marks` holds for `board_cm` only."""

    round: int
    board_cm: int | None
    marks: Sequence[Band]


@dataclass(frozen=True, slots=True)
class AskWinds:
    """Questions about a wind. `last`: tenths read for this record, oldest first, at most five.

    `bands`: what is asked about the next reading as long as `last` is that. A phone that has read more itself goes by
    the numbers: usual is the middle between the median of `last` and its last one; with `stale` readings or more, one
    on the other side of 0 than usual and more than `flip` away asks `says_flip` with {wind} and {usual}; one, other
    than 0, that equals the last `stale` - 1 asks `says_stale` with {wind}.
    """

    last: Sequence[int]
    flip: int
    stale: int
    bands: Sequence[Band]
    says_flip: str
    says_stale: str
    says_no_jump: str


@dataclass(frozen=True, slots=True)
class AskSame:
    """Questions about a trial written twice: the same bib within seconds ({bib}), the same mark in a row ({mark})."""

    within_s: int
    says_bib: str
    says_mark: str


@dataclass(frozen=True, slots=True)
class AskOrder:
    """Questions about a turn: not the one that is up ({up}, {bib}); no turn ({bib}, {round}); while suspended ({bib}).

    `says_range`: a mark that cannot be from a board ({mark}, {board}, {low}, {high}). `says_longest`: one that nobody
    has jumped ({mark}, {longest}). `says_ready`: not signed off.
    """

    says_order: str
    says_no_turn: str
    says_suspended: str
    says_range: str
    says_longest: str
    says_ready: str
