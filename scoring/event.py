"""The one door to the state of an event: start list + log + rule set -> `EventState`.

A pure function: the same log always gives the same state, so any moment can be replayed and explained.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from scoring.alarms import alarms_of
from scoring.callorder import CONSECUTIVE, REPLACEMENT, open_turns
from scoring.clock import clock_s
from scoring.cut import qualifiers
from scoring.entries import Entries, read_entries
from scoring.errors import NotARuleSet
from scoring.facts import (
    Abandoned,
    Added,
    Closed,
    Drawn,
    FlightMoved,
    Jumped,
    ReadinessSigned,
    Resumed,
    RuleChanged,
    Suspended,
    TrialsConfirmed,
)
from scoring.log import Row, Standing, Turn, standing
from scoring.marks import Unit
from scoring.places import Contender, Placed, rank_by_class
from scoring.progress import Progress, effective_cuts, progress_of
from scoring.protests import protests_of
from scoring.rulesets import RuleSet, from_written
from scoring.state import CutStands, EntryState, EventState, NextTurn, Stage, StartLine, TurnState
from scoring.trials import Result, Trial


def replay(
    start_lines: Sequence[StartLine],
    rows: Iterable[Row],
    rules: RuleSet,
    *,
    unit: Unit = Unit.CM,
    sand_cm: int | None = None,
) -> EventState:
    """The state of an event from its start list and the whole log.

    `rows` in any order; `rev` orders them. `sand_cm`: length of the sand, for alarms about marks that
    cannot be (None: not checked).
    Rows that name nobody on the list raise an alarm, never an error.

    >>> from scoring.rulesets import rule_set
    >>> from scoring.trials import Result
    >>> log = [Row("a", 1, Drawn((("x", "y"),))), Row("b", 2, Jumped("x", 1, Result.MARK, 543))]
    >>> state = replay([StartLine("x", "4"), StartLine("y", "7")], log, rule_set("three-only"))
    >>> state.stage, state.callable[0].turn.entry, state.places[0].place
    (<Stage.IN_PROGRESS: 'in progress'>, 'y', 1)
    """
    reading = _read(start_lines, standing(rows), rules)
    states, places = _settled(reading)
    return _state(reading, states, places, unit, sand_cm)


@dataclass(frozen=True, slots=True)
class _Reading:
    """What is read out of a log, before anybody is placed. `counted`: rounds of an event that was abandoned."""

    log: Standing
    rules: RuleSet
    left_out: list[tuple[Row, RuleChanged]]
    flights: tuple[tuple[str, ...], ...]
    entries: Entries
    progress: Progress
    stage: Stage
    counted: int | None


def _read(start_lines: Sequence[StartLine], log: Standing, rules: RuleSet) -> _Reading:
    rules, left_out = _changed(rules, log)
    lines = {line.entry: line for line in start_lines}
    flights = _flights(log, lines)
    entries = read_entries(log, lines, flights, rules)
    progress = progress_of(
        log,
        rules,
        flights,
        starters=entries.starters,
        open_turn=entries.open_turn,
        lines_after=entries.lines_after,
        disputed=lambda upto: any(t.round <= upto for t in entries.disputes()),
    )
    abandoned = log.last(Abandoned)
    counted = abandoned.rounds_counted if abandoned else None
    entries.count(progress, counted)
    return _Reading(log, rules, left_out, flights, entries, progress, _stage(log, progress), counted)


def _settled(reading: _Reading) -> tuple[tuple[EntryState, ...], tuple[Placed, ...]]:
    """Everybody as they stand, and the places; an event without a result gives nobody an NM."""
    stage = reading.stage
    states = reading.entries.states(reading.progress, stage)
    states = states if reading.counted == 0 else _with_status(states, stage)
    places = _places(states)
    return _with_qualifiers(states, places, reading.rules, stage), places


def _state(
    reading: _Reading,
    states: tuple[EntryState, ...],
    places: tuple[Placed, ...],
    unit: Unit,
    sand_cm: int | None,
) -> EventState:
    log, rules, entries, progress, stage = (
        reading.log, reading.rules, reading.entries, reading.progress, reading.stage,
    )  # fmt: skip
    still_owed = _turns(progress, entries, rules)
    turns = () if stage in (Stage.NOT_DRAWN, Stage.ABANDONED, Stage.CLOSED) else still_owed
    cuts = _cuts(progress, entries)
    consecutive = _consecutive(log, turns)
    return EventState(
        version=log.rows[-1].rev if log.rows else 0,
        draw_version=sum(type(row.fact) is Drawn for row in log.rows),
        rules=rules,
        stage=stage,
        flights=reading.flights,
        entries=states,
        places=places,
        rounds=progress.rounds,
        round=min((turn.turn.round for turn in still_owed), default=_reached(progress) if log.heads else 1),
        turns=turns,
        waiting_for=_waiting_for(turns),
        trials_proposal=progress.trials_proposal,
        cut_proposal=progress.cut_proposal,
        order_proposal=progress.order_proposal,
        cuts=cuts,
        starters=entries.starters(),
        owed_winds=entries.owed_winds(),
        disputes=entries.disputes(),
        alarms=alarms_of(
            log, entries, progress, cuts, rules, unit=unit, sand_cm=sand_cm, left_out=reading.left_out, places=places
        ),
        protests=protests_of(log),
        ready=bool(log.of(ReadinessSigned)),
        no_gauge=entries.no_gauge_now,
        counted_rounds=reading.counted,
        consecutive=consecutive,
        clock_s=clock_s(rules, consecutive=consecutive),
        moved=tuple(sorted({fact.flight: fact.pit for _, fact in log.of(FlightMoved)}.items())),
        suspended_reason=_suspended(log)[1],
        next_cut=None if stage.is_over else _next_cut(progress, states, rules),
    )


def _changed(rules: RuleSet, log: Standing) -> tuple[RuleSet, list[tuple[Row, RuleChanged]]]:
    """The rules with the changes of the log, and the changes left out because they contradict the others."""
    changes: dict[str, object] = {}
    changed, left_out = rules, []
    for row, fact in log.of(RuleChanged):
        try:
            wished = changes | {fact.field: from_written(fact.field, fact.value)}
            changed = rules.with_changes(wished)
        except NotARuleSet:
            left_out.append((row, fact))
        else:
            changes = wished
    return changed, left_out


def _flights(log: Standing, lines: dict[str, StartLine]) -> tuple[tuple[str, ...], ...]:
    """The flights as last drawn; without a draw, everybody in one as soon as somebody has jumped."""
    drawn = log.last(Drawn)
    if drawn is None:
        return (tuple(lines),) if log.heads else ()
    flights = [[entry for entry in flight if entry in lines] for flight in drawn.flights]
    listed = {entry for flight in flights for entry in flight}
    for _, added in log.of(Added):
        if added.entry in lines and added.entry not in listed:
            flights[min(max(added.flight, 1), len(flights)) - 1].append(added.entry)
            listed.add(added.entry)
    return tuple(tuple(flight) for flight in flights if flight)


def _suspended(log: Standing) -> tuple[bool, str]:
    suspensions = log.of(Suspended)
    resumed = max((row.rev for row, _ in log.of(Resumed)), default=0)
    if suspensions and suspensions[-1][0].rev > resumed:
        return True, suspensions[-1][0].reason
    return False, ""


def _stage(log: Standing, progress: Progress) -> Stage:
    if log.of(Closed):
        return Stage.CLOSED
    if log.of(Abandoned):
        return Stage.ABANDONED
    if _suspended(log)[0]:
        return Stage.SUSPENDED
    if not log.heads:
        return Stage.DRAWN if log.of(Drawn) else Stage.NOT_DRAWN
    return Stage.FINISHED if progress.complete else Stage.IN_PROGRESS


def _with_status(states: tuple[EntryState, ...], stage: Stage) -> tuple[EntryState, ...]:
    """NM and DNS of those who are done; while they still may jump, an empty series is no status yet."""
    over = stage.is_over
    return tuple(
        replace(state, status=_status(state)) if not state.status and (over or state.finished) else state
        for state in states
    )


def _status(state: EntryState) -> str:
    """The status of the series; who has jumped in a round that does not count did start, though."""
    status = state.series.status
    jumped = any(turn.trial is not None and turn.trial.taken for turn in state.turns)
    return "NM" if status == "DNS" and jumped else status


def _places(states: Sequence[EntryState]) -> tuple[Placed, ...]:
    contenders = [
        Contender(s.line.entry, s.series.marks, s.status if s.status != "NM" else "", s.guest, s.line.klass)
        for s in states
    ]
    by_entry = {state.line.entry: state for state in states}
    return tuple(
        placed if placed.best is not None else placed._replace(status=by_entry[placed.entry].status)
        for placed in rank_by_class(contenders)
    )


def _with_qualifiers(
    states: tuple[EntryState, ...], places: Sequence[Placed], rules: RuleSet, stage: Stage
) -> tuple[EntryState, ...]:
    if not (rules.standard or rules.qualify):
        return states
    over = stage in (Stage.FINISHED, Stage.CLOSED)
    found = {entry: q for entry, q in qualifiers(places, rules).items() if over or q == "Q"}
    return tuple(replace(state, qualified=found.get(state.line.entry, "")) for state in states)


def _reached(progress: Progress) -> int:
    """The last of the rounds that could be jumped so far; a decision that is due keeps the later ones away."""
    return max((unit.last for unit in progress.segments[-1]), default=1)


def _turns(progress: Progress, entries: Entries, rules: RuleSet) -> tuple[NextTurn, ...]:
    units = [unit for segment in progress.segments for unit in segment]
    waits_for = entries.is_away if rules.waits_for_the_away else lambda _: False
    found = open_turns(units, entries.open_turn, waits_for, entries.closes, entries.catching_up)
    rows = {entry: round for unit in units for entry, round in entries.catching_up(unit).items()}
    begun: set[str] = set()
    turns = []
    for turn, flight in found:
        follows = turn.entry in begun and turn.round <= rows.get(turn.entry, 0)
        why = REPLACEMENT if turn.replacement else CONSECUTIVE if follows else ""
        turns.append(NextTurn(turn, flight, entries.board(turn.entry), entries.is_away(turn.entry), why))
        begun.add(turn.entry)
    return tuple(turns)


def _waiting_for(turns: Sequence[NextTurn]) -> tuple[str, ...]:
    """Who is away and holds the round: nobody else can be called in it."""
    if not turns or any(not turn.away for turn in turns):
        return ()
    return tuple(turn.turn.entry for turn in turns)


def _cuts(progress: Progress, entries: Entries) -> tuple[CutStands, ...]:
    return tuple(
        CutStands(
            after,
            fact.going_on,
            fact.under_protest,
            row.by,
            row.reason,
            entries.cut_now(after, row.rev, progress.before_cut(after)),
        )
        for after, (row, fact) in sorted(progress.cuts.items())
    )


def _next_cut(progress: Progress, states: Sequence[EntryState], rules: RuleSet) -> tuple[int, int] | None:
    """The next cut to come. Until the number of trials is confirmed, whoever may still start counts as a starter."""
    confirmed = progress.confirmed
    if confirmed is None and rules.cuts:
        may_start = [s for s in states if s.status != "DNS" and (rules.guests_count_as_starters or not s.guest)]
        starters = progress.trials_proposal.starters if progress.trials_proposal else len(may_start)
        confirmed = TrialsConfirmed(starters, rules.rounds, starters > rules.cuts[0][1])
    cuts = effective_cuts(rules, confirmed).items()
    ahead = [(after, many) for after, many in cuts if after < progress.rounds and after not in progress.cuts]
    return min(ahead, default=None)


def _consecutive(log: Standing, turns: Sequence[NextTurn]) -> bool:
    """Whether the athlete who is up also took the trial before: the clock then has the longer time."""
    jumped = log.of(Jumped)
    up: Turn | None = next((turn.turn for turn in turns if not turn.away), None)
    return bool(jumped and up and jumped[-1][1].entry == up.entry)


def held_back(state: EventState) -> EventState:
    """The state as the public sees it: nothing under protest or in dispute counts or shows its mark.

    A trial on which recorders differ stands as None, a wind on which they differ as owed; whoever has nothing else
    has no status yet. Trials after a cut that are taken under an open protest are held too. Places and qualifiers are
    those of the rest. Rule: common practice.

    >>> from scoring.rulesets import rule_set
    >>> from scoring.trials import Result
    >>> log = [Row("a", 1, Jumped("x", 1, Result.MARK, 543), recorder="pit")]
    >>> log += [Row("b", 2, Jumped("x", 1, Result.MARK, 534), recorder="second recorder")]
    >>> state = replay([StartLine("x", "4")], log, rule_set("three-only"))
    >>> state.places[0].best, held_back(state).places[0].best
    (543, None)
    """
    after_cut = _under_protest_after(state)
    entries = tuple(_entry_held_back(entry, after_cut.get(entry.line.entry)) for entry in state.entries)
    places = _places(entries)
    return replace(state, entries=_with_qualifiers(entries, places, state.rules, state.stage), places=places)


def _under_protest_after(state: EventState) -> dict[str, int]:
    """Who takes the trials after a cut under a protest that is still open, and after which round that cut was."""
    open_for = {protest.entry for protest in state.protests if protest.upheld is None}
    return {key: cut.after_round for cut in reversed(state.cuts) for key in cut.under_protest if key in open_for}


def _entry_held_back(entry: EntryState, after_cut: int | None) -> EntryState:
    turns = tuple(_turn_held_back(turn, after_cut) for turn in entry.turns)
    shown = {turn.turn.round: turn.trial for turn in turns if turn.counts and (turn.trial or turn.disputed)}
    by_round = {round: trial for round, old in entry.by_round.items() if (trial := shown.get(round, old)) is not None}
    series = replace(entry.series, trials=() if entry.status == "DQ" else tuple(by_round.values()))
    unsettled = len(by_round) < len(entry.by_round) and not series.marks and entry.status != "DQ"
    status = "" if unsettled else entry.status
    return replace(entry, turns=turns, by_round=by_round, series=series, status=status, qualified="")


def _turn_held_back(turn: TurnState, after_cut: int | None) -> TurnState:
    if turn.trial is not None and not turn.counts and after_cut is not None and turn.turn.round > after_cut:
        return replace(turn, trial=Trial(Result.MARK, under_protest=True), held=True, said=(), void=())
    if turn.disputed or turn.trial is None:
        return replace(turn, trial=None, said=(), void=())
    trial = replace(turn.trial, mark=turn.trial.valid_mark)
    return replace(turn, trial=replace(trial, wind=None) if turn.wind_disputed else trial, void=())
