"""State of a 24-athlete event from its whole log, stored rows included; the floor keeps marks by entry and sorts."""

import random
from collections import defaultdict

from scoring.event import replay
from scoring.facts import (
    CheckedIn,
    CutTaken,
    Drawn,
    Fact,
    Jumped,
    OrderCalled,
    ReadinessSigned,
    TrialsConfirmed,
    WindRead,
    from_plain,
    kind_of,
    to_plain,
)
from scoring.log import Row
from scoring.rulesets import rule_set
from scoring.state import EventState, Stage, StartLine
from scoring.trials import Result
from tests.bench.clock import median_s, say

ATHLETES = 24
LIMIT_MS = 5
RULES = rule_set("international")


def next_facts(state: EventState, lot: random.Random) -> list[Fact]:
    """What an official writes next: a decision that is due, else the next trial and its wind."""
    if trials := state.trials_proposal:
        return [TrialsConfirmed(trials.starters, trials.rounds, trials.with_cut)]
    if cut := state.cut_proposal:
        return [CutTaken(cut.after_round, cut.going_on, cut.going_on)]
    if order := state.order_proposal:
        return [OrderCalled(order.round, order.order, order.order)]
    turn = state.callable[0].turn
    failed = lot.random() < 0.25
    mark = None if failed else lot.randint(430, 560)
    result = Result.FAIL if failed else Result.MARK
    return [
        Jumped(turn.entry, turn.round, result, mark, turn.replacement),
        WindRead(turn.entry, turn.round, lot.randint(-15, 28), turn.replacement),
    ]


def whole_log(lines: list[StartLine]) -> list[Row]:
    """The log of the event from the draw to the last trial, as it is written at the pit."""
    lot = random.Random(1)
    keys = tuple(line.entry for line in lines)
    facts: list[Fact] = [Drawn((keys[:12], keys[12:])), ReadinessSigned(), *map(CheckedIn, keys)]
    rows: list[Row] = []
    while facts:
        rows += [Row(f"r{rev}", rev, fact, recorder="pit") for rev, fact in enumerate(facts, len(rows) + 1)]
        state = replay(lines, rows, RULES)
        facts = [] if state.stage is Stage.FINISHED else next_facts(state, lot)
    return rows


def bare(rows: list[Row]) -> list[tuple[int, ...]]:
    """Marks by entry and one sort: no turns, no corrections, no cut, no explanations."""
    marks: defaultdict[str, list[int]] = defaultdict(list)
    winds: dict[tuple[str, int], int | None] = {}
    for row in rows:
        fact = row.fact
        if isinstance(fact, Jumped):
            marks[fact.entry].append(fact.mark or 0)
        elif isinstance(fact, WindRead):
            winds[fact.entry, fact.round] = fact.tenths
    return sorted((tuple(sorted(own, reverse=True)) for own in marks.values()), reverse=True)


def main() -> None:
    lines = [StartLine(str(n), str(n), school=f"S{n % 9}") for n in range(1, ATHLETES + 1)]
    rows = whole_log(lines)
    state = replay(lines, rows, RULES)
    assert (state.stage, len(state.places)) == (Stage.FINISHED, ATHLETES)
    assert max(placed.best or 0 for placed in state.places) == bare(rows)[0][0]
    floor = median_s(lambda: bare(rows))
    own = median_s(lambda: replay(lines, rows, RULES))
    say(f"state of {ATHLETES} athletes from {len(rows)} rows", own, floor)
    say(
        f"  under {LIMIT_MS} ms: {'yes' if own * 1e3 < LIMIT_MS else 'OVER'}; the same after 40 rows",
        median_s(lambda: replay(lines, rows[:40], RULES)),
    )
    stored = [(row.id, row.rev, kind_of(row.fact), to_plain(row.fact)) for row in rows]
    say(
        "  facts read from their stored form",
        median_s(lambda: [from_plain(kind, plain) for _, _, kind, plain in stored]),
    )


if __name__ == "__main__":
    main()
