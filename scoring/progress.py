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
    confirmed = log.last(TrialsConfirmed)
    progress = Progress(
        rounds=_rounds(log, rules, confirmed),
        confirmed=confirmed,
        cuts={fact.after_round: (row, fact) for row, fact in log.of(CutTaken)},
        orders={fact.round: (row, fact) for row, fact in log.of(OrderCalled)},
    )
    cuts = effective_cuts(rules, confirmed)
    starts = sorted(
        {after + 1 for after in cuts if after < progress.rounds}
        | {round for round in rules.reorder_before if round <= progress.rounds}
    )
    first_last = (starts[0] - 1) if starts else progress.rounds
    merges = [fact for _, fact in log.of(FlightsMerged)]
    units = flight_units(flights, 1, first_last, merges)
    progress.segments.append(units)
    complete = not open_turns(units, open_turn, lambda _: False)
    undecided = confirmed is None and any(after < progress.rounds for after in cuts)
    if undecided and flights and _round_done(units, 1, open_turn):
        progress.trials_proposal = propose_trials(starters(), rules)
    order = tuple(entry for flight in flights for entry in flight)
    protested: tuple[str, ...] = ()
    lasts = [*(start - 1 for start in starts[1:]), progress.rounds]
    for start, last in zip(starts, lasts, strict=False):
        taken = progress.cuts.get(start - 1)
        called = progress.orders.get(start)
        decided = (start - 1 not in cuts or taken) and (start not in rules.reorder_before or called)
        if not decided and (not complete or disputed(start - 1) or undecided):
            return progress
        if start - 1 in cuts and taken is None:
            _propose_cut(progress, start, rules, lines_after)
            return progress
        members = (*taken[1].under_protest, *taken[1].going_on) if taken else order
        protested = tuple(e for e in members if e in protested or (taken and e in taken[1].under_protest))
        joins = _called_in(log, members, last, first=starts[0], start=start)
        members += tuple(joins)
        progress.members[start], progress.protested[start], progress.joins[start] = members, protested, joins
        if called is None and start in rules.reorder_before:
            lines = [line for line in lines_after(start - 1, None) if line.entry in members]
            still_open = [line.entry for line in lines if line.entry in protested and line.if_upheld is not None]
            progress.order_proposal = OrderProposal(start, propose_order(lines, still_open, rules))
            return progress
        order = _in_order(members, called[1].order if called else order)
        segment = list(_joined(order, start, last, joins))
        progress.segments.append(segment)
        complete = complete and not open_turns(segment, open_turn, lambda _: False)
    progress.complete = complete and bool(flights) and progress.trials_proposal is None
    return progress


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
