"""Protests as they stand: what was lodged, written by one record or by two, and how it was decided."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from math import inf
from typing import TypeVar

from scoring.facts import AppealDecided, AppealLodged, ProtestDecided, ProtestLodged
from scoring.log import Row, Standing, Turn, precedence
from scoring.state import Appeal, Protest

F = TypeVar("F", ProtestLodged, ProtestDecided, AppealLodged, AppealDecided)


def protests_of(log: Standing) -> tuple[Protest, ...]:
    """Every protest in the order it was lodged, with its decision if there is one."""
    return tuple(protest for _, protest in lodged(log))


def lodged(log: Standing) -> tuple[tuple[int, Protest], ...]:
    """Every protest in the order of the log, each with the rev at which it was first lodged.

    >>> from scoring.log import standing
    >>> log = standing([Row("a", 1, ProtestLodged("p1", "31", 2)), Row("b", 2, ProtestDecided("p1", True))])
    >>> [(rev, protest.entry, protest.upheld) for rev, protest in lodged(log)]
    [(1, '31', True)]
    """
    decided, appealed, by_jury = _named(log, ProtestDecided), _named(log, AppealLodged), _named(log, AppealDecided)
    found: list[tuple[int, int, Protest]] = []
    for name, rows in _named(log, ProtestLodged).items():
        each = _one_by_one(rows, decided[name], log)
        starts = [min(log.first_rev(row) for row, _ in told) for told in each]
        # What is said under a name is about what was lodged last before it: a name used again is a protest of its
        # own. What came in before anything of that name is about the first: phones deliver when they can.
        for told, start, since, until in zip(each, starts, [0, *starts[1:]], [*starts[1:], inf], strict=True):
            span = _Span(log, since, until)
            protest = _read(told, span.of(decided[name]), span.of(appealed[name]), span.of(by_jury[name]))
            found.append((told[0][0].rev, start, protest))
    return tuple((start, protest) for _, start, protest in sorted(found, key=lambda one: one[0]))


def about_what_stands(log: Standing) -> tuple[Protest, ...]:
    """The protests that are about the event, or about a trial that stands: not about one that was voided."""
    return tuple(protest for rev, protest in lodged(log) if not _is_about_void(rev, protest, log))


def is_about(rev: int, row: Row, turn: Turn, log: Standing) -> bool:
    """Whether a protest lodged at `rev` about a turn is about this trial of it, and not about one that was voided.

    A trial keeps its protests through corrections. What was lodged before any trial of the turn was written is about
    the first one: rows may come in late.
    """
    void = log.void.get(turn, ())
    if row in void:
        return log.first_rev(row) < rev < log.ended_by(row).rev
    return log.first_rev(row) < rev or not any(log.first_rev(old) < rev for old in void)


def _named(log: Standing, kind: type[F]) -> dict[str, list[tuple[Row, F]]]:
    """Rows of one kind by the name of the protest that they are about, in log order."""
    found: dict[str, list[tuple[Row, F]]] = defaultdict(list)
    for row, fact in log.of(kind):
        found[fact.protest].append((row, fact))
    return found


Told = list[tuple[Row, ProtestLodged]]
"""Rows that lodge one protest."""


def _one_by_one(rows: Told, decided: list[tuple[Row, ProtestDecided]], log: Standing) -> list[Told]:
    """Rows of one name by protest: two recorders who measure one failed trial write its protest twice."""
    found: list[Told] = []
    for row, fact in rows:
        if found and _told_again(row, fact, found[-1], [said for said, _ in decided], log):
            found[-1].append((row, fact))
        else:
            found.append([(row, fact)])
    return found


def _told_again(row: Row, fact: ProtestLodged, told: Told, decided: list[Row], log: Standing) -> bool:
    """Whether a row lodges again what others of its name lodge already: about the same trial, nothing new for anybody.

    After a decision only another record that says the same tells of the old protest; anything else has not been heard.
    """
    turn, start, now = Turn.of(fact), log.first_rev(told[0][0]), log.first_rev(row)
    if not turn.round or turn != Turn.of(told[0][1]):
        return False
    if any(start < log.ended_by(void).rev < now for void in log.void.get(turn, ())):
        return False
    if not any(start < log.first_rev(said) < now for said in decided):
        return True
    return all(row.recorder != one.recorder for one, _ in told) and any(row.reason == one.reason for one, _ in told)


@dataclass(frozen=True, slots=True)
class _Span:
    """A part of the log, from one rev up to another."""

    log: Standing
    since: float
    until: float

    def of(self, rows: list[tuple[Row, F]]) -> list[tuple[Row, F]]:
        """Those first written in it."""
        return [(row, fact) for row, fact in rows if self.since <= self.log.first_rev(row) < self.until]


def _read(
    told: Told,
    decided: list[tuple[Row, ProtestDecided]],
    appealed: list[tuple[Row, AppealLodged]],
    by_jury: list[tuple[Row, AppealDecided]],
) -> Protest:
    """One protest with the last that was said of it; who lodged it as the leading record says."""
    told = sorted(told, key=lambda one: precedence(one[0]))
    row, fact = told[0]
    reasons = dict.fromkeys(one.reason for one, _ in told if one.reason)
    by = fact.by or row.by
    protest = Protest(
        fact.protest, fact.entry, fact.round, fact.replacement, by, "; ".join(reasons), row.at, upheld=None
    )
    if not decided:
        return protest
    said, referee = decided[-1]
    protest = replace(protest, upheld=referee.upheld, decision=said.reason, decided_at=said.at)
    if not appealed:
        return protest
    last, lodging = appealed[-1]
    appeal = Appeal(lodging.by or last.by, last.reason, last.at)
    # To a later appeal the jury has not spoken yet: it is open again.
    if not by_jury or by_jury[-1][0].rev < last.rev:
        return replace(protest, appeal=appeal)
    said, jury = by_jury[-1]
    return replace(protest, upheld=jury.upheld, appeal=replace(appeal, decided=True, decision=said.reason))


def _is_about_void(rev: int, protest: Protest, log: Standing) -> bool:
    turn = Turn.of(protest)
    return bool(log.void.get(turn)) and not any(is_about(rev, row, turn, log) for row in log.heads.get(turn, ()))
