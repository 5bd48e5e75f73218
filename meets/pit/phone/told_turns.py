"""What a phone is told of events, athletes and their turns. The form of it all is described in `state.py`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Board:
    """A board of the pit; `low` and `high` are the marks that can be from it, None where the sand is not known."""

    cm: int
    shown: str
    low: int | None
    high: int | None


@dataclass(frozen=True, slots=True)
class EventNow:
    """An event of the session. `says`: how far it is. `waits`: whom it waits for, at another pit too, '' for nobody.

    `suspended`: the reason, '' if it is not. `seconds` for the trial of whoever is up, 0 without a clock.
    `needs_board`: each trial names its board. `list_version`: the draw that the screen shows, to match with printed
    lists. `any_order`: nobody is called, whoever comes jumps. `longest`: the longest mark that is taken.
    `board_off_cm`: by so much a board may be measured otherwise before it is asked about.
    """

    id: int
    name: str
    triple: bool
    stage: str
    says: str
    ready: bool
    no_gauge: bool
    over: bool
    closed: bool
    suspended: str
    seconds: int
    warning: int
    boards: Sequence[Board]
    needs_board: bool
    waits: str
    round: int
    rounds: int
    list_version: int
    any_order: bool
    longest: int
    board_off_cm: int
    link: str


@dataclass(frozen=True, slots=True)
class Range:
    """The marks that can be from the athlete's board."""

    low: int
    high: int
    shown: str


@dataclass(frozen=True, slots=True)
class Athlete:
    """Somebody of the session. `tags` and `status` are words. `reach`: a doubt about the board in a sentence, or ''.

    `reaches`: the same doubt for the boards of the event that raise one, by centimetres. `named`: the key that a phone
    gave when it added this athlete, '' for everybody else. `joined`: the first round.
    """

    event: int
    bib: str
    name: str
    school: str
    year: str
    tags: Sequence[str]
    board_cm: int | None
    board: str
    best: str
    best_mark: int | None
    away: str
    status: str
    finished: bool
    pending: bool
    checked_in: bool
    say_it: str
    range: Range | None
    reach: str
    reaches: Mapping[str, str]
    flight: int
    order: int
    joined: int
    named: str


@dataclass(frozen=True, slots=True)
class OpenTurn:
    """A turn to be taken, in call order. `number` of `of` turns of this round and flight. `why` it is out of the row.

    `seconds`: the time for it if it comes after the turn before it in the list; `consecutive`: the same athlete.
    `wind` and `wind_rows`: the reading, where it was written before the trial.
    """

    turn: str
    event: int
    entry: str
    round: int
    replacement: int
    title: str
    flight: str
    number: int
    of: int
    away: str
    why: str
    seconds: int
    consecutive: bool
    wind_tenths: int | None
    wind: str
    wind_rows: Sequence[str]


@dataclass(frozen=True, slots=True)
class Trial:
    """A trial in a series. `rows` and `wind_rows` are what a correction replaces. `owed_wind`: nobody has said it.

    `held`: not shown to the public, as it is disputed or under protest. `hidden`: measured, shown as failed. `void`:
    kept and not counted, `reason` says why; else `reason` is the one of a failure, in words. `result` as rows have it.
    `settled`: the referee or the desk took the place of what recorders wrote.
    """

    turn: str
    round: int
    replacement: int
    result: str
    mark: int | None
    shown: str
    wind_tenths: int | None
    wind: str
    rows: Sequence[str]
    wind_rows: Sequence[str]
    disputed: bool
    wind_disputed: bool
    held: bool
    confirmed: bool
    hidden: bool
    void: bool
    owed_wind: bool
    best: bool
    board_cm: int | None
    reason: str
    settled: bool


@dataclass(frozen=True, slots=True)
class LastTrial:
    """For a gauge operator the last readings: `shown` is then '' where the trial is not written yet."""

    turn: str
    entry: str
    event: int
    bib: str
    shown: str
    wind: str
    at: int
