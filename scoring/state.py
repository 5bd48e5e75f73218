"""What `event.replay` answers: the state of an event, as plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from scoring.cut import CutProposal, TrialsProposal
from scoring.log import Turn
from scoring.places import Placed
from scoring.rulesets import RuleSet
from scoring.trials import Series, Trial


class Stage(StrEnum):
    """How far an event is."""

    NOT_DRAWN = "not drawn"
    DRAWN = "drawn"
    IN_PROGRESS = "in progress"
    SUSPENDED = "suspended"
    FINISHED = "finished"
    ABANDONED = "abandoned"
    CLOSED = "closed"

    @property
    def is_over(self) -> bool:
        """No further trial is expected."""
        return self in (Stage.FINISHED, Stage.ABANDONED, Stage.CLOSED)


@dataclass(frozen=True, slots=True)
class StartLine:
    """One line of the start list: what the engine knows of an entry. `entry` is its key, unique in the event."""

    entry: str
    bib: str
    school: str = ""
    string: str = ""
    guest: bool = False
    klass: str = ""
    board_cm: int | None = None


@dataclass(frozen=True, slots=True)
class TurnState:
    """A turn with what stands for it. `rows`: ids of the standing trial rows, `wind_rows` of the winds.

    `disputed`: recorders differ, the pit's own record is shown; `wind_disputed` likewise. `held`: kept from the public.
    `void`: trials kept but not counted, each with the reason given.
    """

    turn: Turn
    trial: Trial | None
    rows: tuple[str, ...] = ()
    wind_rows: tuple[str, ...] = ()
    disputed: bool = False
    wind_disputed: bool = False
    confirmed: bool = False
    held: bool = False
    counts: bool = True
    said: tuple[Trial, ...] = ()
    void: tuple[tuple[Trial, str], ...] = ()


@dataclass(frozen=True, slots=True)
class EntryState:
    """An entry as it stands. `turns`: its turns that were taken, in order; `by_round` the trial that counts."""

    line: StartLine
    order: int
    flight: int
    turns: tuple[TurnState, ...]
    by_round: dict[int, Trial]
    series: Series
    status: str = ""
    status_reason: str = ""
    board_cm: int | None = None
    guest: bool = False
    pending: bool = False
    checked_in: bool = False
    starter: bool = False
    away: str | None = None
    joined_round: int = 1
    finished: bool = False
    goes_on: bool | None = None
    cards: tuple[str, ...] = ()
    qualified: str = ""

    @property
    def best(self) -> int | None:
        return self.series.best


@dataclass(frozen=True, slots=True)
class NextTurn:
    """A turn still to be taken. `board_cm` the athlete's board; `why` is empty for the plain call order."""

    turn: Turn
    flight: int
    board_cm: int | None = None
    away: bool = False
    why: str = ""


@dataclass(frozen=True, slots=True)
class OrderProposal:
    """The order that the engine proposes for `round` and those after it."""

    round: int
    order: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Alarm:
    """Something the referee must see. `key` names it for AlarmSettled; `message` with `values` words it."""

    key: str
    message: str
    values: dict[str, object] = field(default_factory=dict)
    entries: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Appeal:
    """An appeal to the jury against the decision on a protest. `decided`: the jury has spoken; `decision`: why so."""

    by: str
    reason: str
    lodged_at: datetime | None
    decided: bool = False
    decision: str = ""


@dataclass(frozen=True, slots=True)
class Protest:
    """A protest and how it stands: upheld is None while open, else as the referee or, last, the jury decided.

    While an appeal is open the referee's decision holds.
    """

    protest: str
    entry: str
    round: int
    replacement: int
    by: str
    reason: str
    lodged_at: datetime | None
    upheld: bool | None
    decision: str = ""
    decided_at: datetime | None = None
    appeal: Appeal | None = None

    @property
    def is_open(self) -> bool:
        """Whether the referee or the jury still has to decide."""
        return self.upheld is None or (self.appeal is not None and not self.appeal.decided)


@dataclass(frozen=True, slots=True)
class CutStands:
    """A cut as taken: who goes on, who does so under protest only, after which round."""

    after_round: int
    going_on: tuple[str, ...]
    under_protest: tuple[str, ...]
    by: str
    reason: str
    proposal_now: CutProposal


@dataclass(frozen=True, slots=True)
class EventState:
    """Everything known of an event at one version of its log (`version`: rev of its last row).

    `clock_s`: seconds for the trial of whoever is up, 0 without a clock. `moved`: flights that go on at another pit,
    each with its name. `next_cut`: after which round the next cut is, and how many go on.
    """

    version: int
    draw_version: int
    rules: RuleSet
    stage: Stage
    flights: tuple[tuple[str, ...], ...]
    entries: tuple[EntryState, ...]
    places: tuple[Placed, ...]
    rounds: int
    round: int
    turns: tuple[NextTurn, ...] = ()
    waiting_for: tuple[str, ...] = ()
    trials_proposal: TrialsProposal | None = None
    cut_proposal: CutProposal | None = None
    order_proposal: OrderProposal | None = None
    cuts: tuple[CutStands, ...] = ()
    starters: int = 0
    owed_winds: tuple[Turn, ...] = ()
    disputes: tuple[Turn, ...] = ()
    alarms: tuple[Alarm, ...] = ()
    protests: tuple[Protest, ...] = ()
    ready: bool = False
    no_gauge: bool = False
    counted_rounds: int | None = None
    consecutive: bool = False
    clock_s: int = 0
    moved: tuple[tuple[int, str], ...] = ()
    suspended_reason: str = ""
    next_cut: tuple[int, int] | None = None

    def entry(self, key: str) -> EntryState:
        """The state of one entry. Raises KeyError."""
        for entry in self.entries:
            if entry.line.entry == key:
                return entry
        raise KeyError(key)

    @property
    def callable(self) -> tuple[NextTurn, ...]:
        """Turns of athletes who are here, in order: the first is up, the second next, the third then."""
        return tuple(turn for turn in self.turns if not turn.away)

    @property
    def away(self) -> tuple[NextTurn, ...]:
        return tuple(turn for turn in self.turns if turn.away)
