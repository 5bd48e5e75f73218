"""How far an event is: units and rounds, and what the referee has to decide before the next round."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from scoring.callorder import CallGroup, flight_units, open_turns
from scoring.cut import CutLine, CutProposal, TrialsProposal, propose_cut, propose_order, propose_trials
from scoring.facts import CalledIn, CutTaken, FlightsMerged, OrderCalled, RuleChanged, Shortened, TrialsConfirmed
from scoring.log import Row, Standing, Turn
from scoring.rulesets import RuleSet
from scoring.state import OrderProposal

LinesAfter = Callable[[int, int | None], list[CutLine]]
"""(round, rev or None) -> the entries as they stood for a decision after that round, taken at that rev."""


@dataclass(slots=True)
class Progress:
    """Rounds and units of an event as decided so far, and the decisions that are due."""

    rounds: int
    confirmed: TrialsConfirmed | None
    cuts: dict[int, tuple[Row, CutTaken]]
    orders: dict[int, tuple[Row, OrderCalled]]
    segments: list[list[CallGroup]] = field(default_factory=list)
    members: dict[int, tuple[str, ...]] = field(default_factory=dict)
    """First round of a segment -> who takes part from there on."""
    protested: dict[int, tuple[str, ...]] = field(default_factory=dict)
    """First round of a segment -> who takes part in it under protest."""
    joins: dict[int, dict[str, int]] = field(default_factory=dict)
    """First round of a segment -> who was called in to it, each with the first round."""
    complete: bool = False
    trials_proposal: TrialsProposal | None = None
    cut_proposal: CutProposal | None = None
    order_proposal: OrderProposal | None = None

    def plays(self, entry: str, round: int) -> bool:
        """Whether an entry has a turn in a round, by the cuts taken."""
        start = max((first for first in self.members if first <= round), default=None)
        return start is None or (entry in self.members[start] and round >= self.joins[start].get(entry, round))

    def before_cut(self, after: int) -> tuple[str, ...] | None:
        """Who still took part when a cut after this round was due; None: everybody."""
        start = max((first for first in self.members if first <= after), default=None)
        return None if start is None else self.members[start]


def effective_cuts(rules: RuleSet, confirmed: TrialsConfirmed | None) -> dict[int, int]:
    """The cuts that apply: without a first cut, later ones only where more have started than may go on.

    >>> from scoring.rulesets import rule_set
    >>> effective_cuts(rule_set("two-cuts"), TrialsConfirmed(6, 6, False))
    {5: 4}
    """
    cuts = dict(rules.cuts)
    if confirmed is None or confirmed.with_cut:
        return cuts
    return {after: many for after, many in rules.cuts[1:] if confirmed.starters > many}


def progress_of(
    log: Standing,
    rules: RuleSet,
    flights: Sequence[tuple[str, ...]],
    *,
    starters: Callable[[], int],
    open_turn: Callable[[str, int], Turn | None],
    lines_after: LinesAfter,
    disputed: Callable[[int], bool],
) -> Progress:
    """Walk the rounds as far as decisions go; where one is due, propose it.

    A decision taken stays: a turn that a correction opens again does not undo the rounds after it.
    """
    walk = _Walk(log, rules, flights, open_turn, lines_after, disputed)
    cuts = effective_cuts(rules, walk.progress.confirmed)
    walk.first_rounds(cuts, starters)
    lasts = [*(start - 1 for start in walk.starts[1:]), walk.progress.rounds]
    if all(walk.goes_on_to(start, last, cuts) for start, last in zip(walk.starts, lasts, strict=False)):
        walk.finish()
    return walk.progress


class _Walk:
    """Goes through the segments of an event: the first rounds, then what follows each cut or new order."""

    def __init__(
        self,
        log: Standing,
        rules: RuleSet,
        flights: Sequence[tuple[str, ...]],
        open_turn: Callable[[str, int], Turn | None],
        lines_after: LinesAfter,
        disputed: Callable[[int], bool],
    ) -> None:
        confirmed = log.last(TrialsConfirmed)
        self.progress = Progress(
            rounds=_rounds(log, rules, confirmed),
            confirmed=confirmed,
            cuts={fact.after_round: (row, fact) for row, fact in log.of(CutTaken)},
            orders={fact.round: (row, fact) for row, fact in log.of(OrderCalled)},
        )
        self.log, self.rules, self.flights = log, rules, flights
        self.open_turn, self.lines_after, self.disputed = open_turn, lines_after, disputed
        self.order = tuple(entry for flight in flights for entry in flight)
        self.protested: tuple[str, ...] = ()
        self.starts: list[int] = []
        self.complete = self.undecided = False

    def first_rounds(self, cuts: Mapping[int, int], starters: Callable[[], int]) -> None:
        """The rounds before any new order, and the number of trials where it is due after round 1."""
        progress, rounds = self.progress, self.progress.rounds
        self.starts = sorted(
            {after + 1 for after in cuts if after < rounds}
            | {round for round in self.rules.reorder_before if round <= rounds}
        )
        last = (self.starts[0] - 1) if self.starts else rounds
        units = flight_units(self.flights, 1, last, [fact for _, fact in self.log.of(FlightsMerged)])
        progress.segments.append(units)
        self.complete = not open_turns(units, self.open_turn, lambda _: False)
        self.undecided = progress.confirmed is None and any(after < rounds for after in cuts)
        if self.undecided and self.flights and _round_done(units, 1, self.open_turn):
            progress.trials_proposal = propose_trials(starters(), self.rules)

    def goes_on_to(self, start: int, last: int, cuts: Mapping[int, int]) -> bool:
        """Whether rounds `start` to `last` may be jumped; if the decision before them is due, it is proposed."""
        progress, rules = self.progress, self.rules
        taken, called = progress.cuts.get(start - 1), progress.orders.get(start)
        decided = (start - 1 not in cuts or taken) and (start not in rules.reorder_before or called)
        if not decided and (not self.complete or self.disputed(start - 1) or self.undecided):
            return False
        if start - 1 in cuts and taken is None:
            _propose_cut(progress, start, rules, self.lines_after)
            return False
        members, joins = self._members(start, last, taken)
        if called is None and start in rules.reorder_before:
            self._propose_order(start, members)
            return False
        self.order = _in_order(members, called[1].order if called else self.order)
        segment = list(_joined(self.order, start, last, joins))
        progress.segments.append(segment)
        self.complete = self.complete and not open_turns(segment, self.open_turn, lambda _: False)
        return True

    def _members(
        self, start: int, last: int, taken: tuple[Row, CutTaken] | None
    ) -> tuple[tuple[str, ...], dict[str, int]]:
        """Who takes part from `start` on, under protest or called in later too, and the first round of the latter."""
        members = (*taken[1].under_protest, *taken[1].going_on) if taken else self.order
        extra = taken[1].under_protest if taken else ()
        self.protested = tuple(entry for entry in members if entry in self.protested or entry in extra)
        joins = _called_in(self.log, members, last, first=self.starts[0], start=start)
        members += tuple(joins)
        progress = self.progress
        progress.members[start], progress.protested[start], progress.joins[start] = members, self.protested, joins
        return members, joins

    def _propose_order(self, start: int, members: tuple[str, ...]) -> None:
        lines = [line for line in self.lines_after(start - 1, None) if line.entry in members]
        still_open = [line.entry for line in lines if line.entry in self.protested and line.if_upheld is not None]
        self.progress.order_proposal = OrderProposal(start, propose_order(lines, still_open, self.rules))

    def finish(self) -> None:
        progress = self.progress
        progress.complete = self.complete and bool(self.flights) and progress.trials_proposal is None


def _called_in(log: Standing, members: tuple[str, ...], last: int, *, first: int, start: int) -> dict[str, int]:
    """Who was called in to a segment after its cut, with their first round in it."""
    called = {fact.entry: max(fact.round, first) for _, fact in log.of(CalledIn)}
    return {entry: round for entry, round in called.items() if start <= round <= last and entry not in members}


def _joined(order: tuple[str, ...], start: int, last: int, joins: Mapping[str, int]) -> Iterator[CallGroup]:
    """The rounds of a segment in one order; who was called in for a later round has no turn before it."""
    firsts = sorted({start, *joins.values()})
    for first, end in zip(firsts, [*(later - 1 for later in firsts[1:]), last], strict=True):
        yield CallGroup(0, first, end, tuple(entry for entry in order if joins.get(entry, first) <= first))


def _rounds(log: Standing, rules: RuleSet, confirmed: TrialsConfirmed | None) -> int:
    """The number of rounds: as confirmed or by the rules, whichever was said later, and no more than shortened to."""
    in_force = str(rules.rounds)
    changes = [row.rev for row, fact in log.of(RuleChanged) if (fact.field, fact.value.strip()) == ("rounds", in_force)]
    changed = max(changes, default=0)
    confirmed_at = max((row.rev for row, _ in log.of(TrialsConfirmed)), default=0)
    rounds = confirmed.rounds if confirmed is not None and confirmed_at > changed else rules.rounds
    return min([rounds, *(fact.last_round for _, fact in log.of(Shortened))])


def _round_done(units: Iterable[CallGroup], round: int, open_turn: Callable[[str, int], Turn | None]) -> bool:
    members = [entry for unit in units if unit.first <= round <= unit.last for entry in unit.order]
    return all(open_turn(entry, round) is None for entry in members)


def _propose_cut(progress: Progress, start: int, rules: RuleSet, lines_after: LinesAfter) -> None:
    still_in = progress.before_cut(start - 1)
    lines = [line for line in lines_after(start - 1, None) if still_in is None or line.entry in still_in]
    proposal = propose_cut(lines, start - 1, rules)
    progress.cut_proposal = proposal
    if start in rules.reorder_before:
        going = {*proposal.going_on, *proposal.under_protest}
        order = propose_order([line for line in lines if line.entry in going], proposal.under_protest, rules)
        progress.order_proposal = OrderProposal(start, order)


def _in_order(members: tuple[str, ...], order: tuple[str, ...]) -> tuple[str, ...]:
    """`order` kept to its members, members that it does not name at the front: they were called in later."""
    return (*(m for m in members if m not in order), *(entry for entry in order if entry in members))
