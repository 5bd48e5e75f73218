"""State of a 24-athlete event from its whole log, stored rows included; the floor keeps marks by entry and sorts."""

from collections import defaultdict

from scoring.event import replay
from scoring.facts import Jumped, WindRead, from_plain, kind_of, to_plain
from scoring.log import Row
from scoring.rulesets import rule_set
from scoring.state import Stage, StartLine
from tests.bench.clock import median_s, say
from tests.build import played

ATHLETES = 24
LIMIT_MS = 5
RULES = rule_set("international")


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
    keys = [line.entry for line in lines]
    rows = played(lines, (keys[:12], keys[12:]), RULES)
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
