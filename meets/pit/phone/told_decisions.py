"""What a phone is told of decisions, differences and places. The form of it all is described in `state.py`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reason:
    value: str
    says: str


@dataclass(frozen=True, slots=True)
class Due:
    """Something to be done before it goes on. `board_cm` with kind `measure`; `link` '' where no page decides it."""

    event: int
    kind: str
    says: str
    link: str
    board_cm: int | None = None


@dataclass(frozen=True, slots=True)
class Alarm:
    event: int
    key: str
    says: str
    entries: Sequence[str]


@dataclass(frozen=True, slots=True)
class Said:
    """One of the values of a difference; `values` are those of its row, to be written again by whoever settles it."""

    rows: Sequence[str]
    shown: str
    by: str
    recorder: str
    values: Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Dispute:
    """`what`: trial or wind."""

    turn: str
    event: int
    entry: str
    bib: str
    what: str
    values: Sequence[Said]


@dataclass(frozen=True, slots=True)
class Owed:
    turn: str
    event: int
    entry: str
    bib: str
    round: int
    shown: str


@dataclass(frozen=True, slots=True)
class Protest:
    """`turn` '' where it is about the event. `upheld` None while it is open."""

    protest: str
    event: int
    entry: str
    turn: str
    bib: str
    by: str
    reason: str
    at: int | None
    upheld: bool | None
    decision: str


@dataclass(frozen=True, slots=True)
class Called:
    """Somebody in the order read out, or out at the cut with the sentence that is read to them."""

    entry: str
    bib: str
    name: str
    best: str
    says: str


@dataclass(frozen=True, slots=True)
class Trials:
    """The number of trials to be confirmed after round 1."""

    event: int
    says: str
    link: str


@dataclass(frozen=True, slots=True)
class Cut:
    """The cut that is due. `order`: who goes on, as they are called. `out` in order of ranking."""

    event: int
    says: str
    order: Sequence[Called]
    out: Sequence[Called]
    first_out: str
    link: str


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """`best` '' while it is being checked, `why` then says so; else how the place was decided."""

    place: str
    entry: str
    bib: str
    name: str
    best: str
    status: str
    why: str


@dataclass(frozen=True, slots=True)
class Places:
    event: int
    rows: Sequence[PlaceRow]


@dataclass(frozen=True, slots=True)
class Difference:
    """`own` and `other`: '' where that record has nothing."""

    turn: str
    event: int
    entry: str
    bib: str
    what: str
    own: str
    other: str


@dataclass(frozen=True, slots=True)
class Check:
    """The two records of a round compared. `asks`: what looks wrong although they agree, a question each. `missing`:
    bibs of turns that only one of them has yet, which is no difference.

    `own` is the record of the role that asks; for the referee that of the recorder.
    """

    event: int
    round: int
    agree: int
    of: int
    says: str
    differences: Sequence[Difference]
    asks: Sequence[str]
    missing: Sequence[str]


@dataclass(frozen=True, slots=True)
class Links:
    """Pages of the server for what is not done on the phone, '' where there is none."""

    session: str
    everybody: str
    places: str
    ready: str
    stop: str
    winds: str
    decide: str
