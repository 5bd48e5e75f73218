"""What a phone is told of its session: values worked out and worded here, shown there as they are.

Every dataclass is an object of the JSON text, every field a key of it. Times are milliseconds since 1970 UTC, marks
whole numbers of the meet's unit. A turn is named `entry-round-replacement`, as in addresses. Phones leave keys alone
that they do not know.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass

VERSION = 1


@dataclass(frozen=True, slots=True)
class Named:
    """A meet."""

    id: int
    name: str


@dataclass(frozen=True, slots=True)
class Session:
    """`starts`: the hour as printed, '' if none is set."""

    id: int
    name: str
    pit: str
    starts: str


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
class Clock:
    """`started` None: set and not running."""

    turn: str
    started: int | None
    seconds: int


@dataclass(frozen=True, slots=True)
class Missing:
    """Entries that another phone has numbered and nobody has brought."""

    phone: int
    official: str
    says: str


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


@dataclass(frozen=True, slots=True)
class Head:
    """What a phone alone is told, or what changes from second to second.

    `included`: epoch -> number up to which this state has the entries of this phone; only later ones are laid over it.
    `gauge_on`, `second_on`: whether a phone of that role has been heard of lately. `in_review`: entries of this phone
    that are here and count only once the desk has looked at them; the state is without them. `beside`: sentences about
    other phones that write the same record.
    """

    v: int
    version: str
    server_epoch: str
    now: int
    role: str
    included: Mapping[str, int]
    clock: Clock | None
    gauge_on: bool
    second_on: bool
    in_review: Sequence[str]
    missing: Sequence[Missing]
    beside: Sequence[str]


@dataclass(frozen=True, slots=True)
class Body:
    """What all phones of a role are told. `queue`: every open turn; `last`: newest first; `digits` of a usual mark.

    `check` is the one of `checks` that is to be looked at; None while the records are not in.
    """

    meet: Named
    session: Session
    unit: str
    digits: int
    events: Sequence[EventNow]
    people: Mapping[str, Athlete]
    queue: Sequence[OpenTurn]
    series: Mapping[str, Sequence[Trial]]
    last: Sequence[LastTrial]
    asks: Mapping[str, Asks]
    ask_winds: AskWinds
    ask_same: AskSame
    ask_order: AskOrder
    reasons: Mapping[str, Sequence[Reason]]
    due: Sequence[Due]
    alarms: Sequence[Alarm]
    disputes: Sequence[Dispute]
    owed: Sequence[Owed]
    protests: Sequence[Protest]
    trials: Trials | None
    cut: Cut | None
    places: Sequence[Places]
    check: Check | None
    checks: Sequence[Check]
    links: Links


@dataclass(frozen=True, slots=True)
class OnDisplay:
    """What athletes see: who is up, what the last trial gave, who leads. Nothing that is kept from the public."""

    meet: Named
    session: Session
    unit: str
    events: Sequence[EventNow]
    people: Mapping[str, Athlete]
    queue: Sequence[OpenTurn]
    last: Sequence[LastTrial]
    places: Sequence[Places]


def plain(value: object) -> object:
    """As JSON takes it."""
    if is_dataclass(value):
        return {key: plain(getattr(value, name)) for name, key in _keys(type(value))}
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    return value


_KEYS: dict[type, list[tuple[str, str]]] = {}


def _keys(cls: type) -> list[tuple[str, str]]:
    if cls not in _KEYS:
        _KEYS[cls] = [(f.name, f.metadata.get("key", f.name)) for f in fields(cls)]
    return _KEYS[cls]
