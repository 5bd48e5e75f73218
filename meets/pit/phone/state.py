"""What a phone is told of its session: values worked out and worded here, shown there as they are.

Every dataclass is an object of the JSON text, every field a key of it. Times are milliseconds since 1970 UTC, marks
whole numbers of the meet's unit. A turn is named `entry-round-replacement`, as in addresses. Phones leave keys alone
that they do not know.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass

from meets.pit.phone.told_asks import AskOrder, Asks, AskSame, AskWinds
from meets.pit.phone.told_decisions import Alarm, Check, Cut, Dispute, Due, Links, Owed, Places, Protest, Reason, Trials
from meets.pit.phone.told_turns import Athlete, EventNow, LastTrial, OpenTurn, Trial

VERSION = 1


@dataclass(frozen=True, slots=True)
class Named:
    """A meet."""

    id: int
    name: str


@dataclass(frozen=True, slots=True)
class Session:
    """`starts`: the hour as printed, '' if none is set. `gauge`: the pit has one, as the desk says."""

    id: int
    name: str
    pit: str
    starts: str
    gauge: bool


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
