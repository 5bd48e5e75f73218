"""What a field sheet says, and what reading it gives: plain values."""

from dataclasses import dataclass, field

from meets.running.record import NewRow
from scoring.state import Alarm, EventState


@dataclass(frozen=True, slots=True)
class SheetTrial:
    """One box of the sheet: the open notation (`x/5.43` measured under protest) and its wind, '' where none is."""

    entry: str
    round: int
    text: str
    wind: str = ""


@dataclass(frozen=True, slots=True)
class LaterBlock:
    """Lines of the rounds from `first` on, in the order they were written."""

    first: int
    order: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FieldSheet:
    """A sheet by entry keys. `order`: the lines of its first block; `order_written` False: later lines in no order."""

    order: tuple[str, ...]
    trials: tuple[SheetTrial, ...]
    did_not_start: tuple[str, ...] = ()
    later: tuple[LaterBlock, ...] = ()
    no_gauge: bool = False
    order_written: bool = True


@dataclass(frozen=True, slots=True)
class SheetQuestion:
    """Something to look at on the paper again before it is stored; `key` is ticked."""

    key: str
    entry: str
    round: int
    sentence: str


@dataclass(frozen=True, slots=True)
class Difference:
    """A box that differs from what another record says of the turn: the referee will have to settle it."""

    entry: str
    round: int
    on_sheet: str
    recorded: str


@dataclass(frozen=True, slots=True)
class Decision:
    """A decision that the sheet shows was taken. `departs`: not as proposed by the trials, so it needs a reason."""

    sentence: str
    departs: bool = False


@dataclass(slots=True)
class SheetReading:
    """What a sheet means for the log at `version`; `state` is the event as it would be with it."""

    version: int
    facts: list[NewRow] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    questions: list[SheetQuestion] = field(default_factory=list)
    differences: list[Difference] = field(default_factory=list)
    decisions: list[Decision] = field(default_factory=list)
    confirmed: int = 0
    alarms: tuple[Alarm, ...] = ()
    state: EventState | None = None

    @property
    def departs(self) -> bool:
        return any(decision.departs for decision in self.decisions)
