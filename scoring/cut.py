"""Who goes on: how many trials each takes, and who is in or out at a cut. Proposals, with the reason for everybody.

Officials take the cut; this module only proposes. Rules: WA (more than 8 starters: 3 each, the 8 best with valid
marks 3 more; 8 or fewer: all trials each), reports of the IAAF on qualifying rounds for ties, custom for guests.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby
from typing import NamedTuple

from scoring.places import Contender, Decision, Placed, rank, separated
from scoring.rulesets import RuleSet


class CutReason(StrEnum):
    """Why somebody is in or out at a cut."""

    IN_BY_RANK = "in by rank"
    IN_BY_TIE = "in by tie"
    IN_AS_GUEST = "in as guest"
    IN_UNDER_PROTEST = "in under protest"
    OUT_BY_RANK = "out by rank"
    OUT_BY_DRAW = "out by draw"
    OUT_NO_MARK = "out without a mark"
    OUT_AS_GUEST = "out as guest"
    OUT_WITHDRAWN = "out withdrawn"
    OUT_DNS = "out did not start"
    OUT_DQ = "out disqualified"


GOING_ON = frozenset((CutReason.IN_BY_RANK, CutReason.IN_BY_TIE, CutReason.IN_AS_GUEST, CutReason.IN_UNDER_PROTEST))


class CutLine(NamedTuple):
    """An entry at a cut. `marks`: valid marks so far, best first; `if_upheld` with marks under open protest."""

    entry: str
    marks: tuple[int, ...]
    draw: int
    status: str = ""
    guest: bool = False
    withdrawn: bool = False
    if_upheld: tuple[int, ...] | None = None


class CutVerdict(NamedTuple):
    """In or out, and why. `rank` among those who hold a place; `decision` what separated it from its neighbour.

    `guest`: holds none of the places, so `rank` only says where the mark would stand.
    """

    entry: str
    goes_on: bool
    reason: CutReason
    rank: int | None = None
    decision: Decision | None = None
    guest: bool = False


@dataclass(frozen=True, slots=True)
class TrialsProposal:
    """How many trials each takes: `starters` were counted, more than `limit` of them makes a cut."""

    starters: int
    limit: int
    rounds: int
    with_cut: bool


@dataclass(frozen=True, slots=True)
class CutProposal:
    """Who goes on after a round, best first, and the verdict on everybody in order of ranking."""

    after_round: int
    how_many: int
    going_on: tuple[str, ...]
    under_protest: tuple[str, ...]
    verdicts: tuple[CutVerdict, ...]


def propose_trials(starters: int, rules: RuleSet) -> TrialsProposal | None:
    """How many trials each takes, from the number of starters; None where the rule set has no cut.

    >>> from scoring.rulesets import rule_set
    >>> propose_trials(7, rule_set("international")).with_cut
    False
    """
    if not rules.cuts:
        return None
    limit = rules.cuts[0][1]
    return TrialsProposal(starters, limit, rules.rounds, with_cut=starters > limit)


def propose_cut(lines: Sequence[CutLine], after_round: int, rules: RuleSet) -> CutProposal:
    """Who goes on after `after_round`, by the rule set's cut after that round.

    Raises KeyError when the set has no cut there.

    >>> from scoring.rulesets import rule_set
    >>> lines = [CutLine(str(n), (500 + n,), n) for n in range(1, 11)]
    >>> propose_cut(lines, 3, rule_set("international")).going_on
    ('10', '9', '8', '7', '6', '5', '4', '3')
    """
    how_many = dict(rules.cuts)[after_round]
    verdicts = _verdicts(lines, how_many, rules)
    protesters = tuple(
        line.entry
        for line in sorted(lines, key=lambda line: line.draw)
        if line.if_upheld is not None and _in_if_upheld(line, lines, how_many, rules)
        and not next(v for v in verdicts if v.entry == line.entry).goes_on
    )  # fmt: skip
    verdicts = [
        v._replace(goes_on=True, reason=CutReason.IN_UNDER_PROTEST) if v.entry in protesters else v for v in verdicts
    ]
    going_on = tuple(v.entry for v in verdicts if v.goes_on and v.entry not in protesters)
    return CutProposal(after_round, how_many, going_on, protesters, tuple(verdicts))


def _in_if_upheld(line: CutLine, lines: Sequence[CutLine], how_many: int, rules: RuleSet) -> bool:
    hypothesis = [
        other._replace(marks=other.if_upheld, status="") if other is line and other.if_upheld else other
        for other in lines
    ]
    verdicts = _verdicts(hypothesis, how_many, rules)
    return next(v.goes_on for v in verdicts if v.entry == line.entry)


def _verdicts(lines: Sequence[CutLine], how_many: int, rules: RuleSet) -> list[CutVerdict]:
    by_draw = {line.entry: line for line in sorted(lines, key=lambda line: line.draw)}
    ranked = rank([Contender(line.entry, line.marks, line.status) for line in by_draw.values()])
    levels = _levels([by_draw[placed.entry] for placed in ranked if placed.best is not None], how_many, rules)
    last_in = next((level.first for level in reversed(levels) if level.inside and level.holders), None)
    first_out = next((level.first for level in levels if not level.inside), None)
    verdicts = [
        CutVerdict(
            line.entry,
            reason in GOING_ON,
            reason,
            level.ahead + 1,
            _decision(line, first_out if level.inside else last_in),
            line.guest and not rules.guests_hold_place,
        )
        for level in levels
        for line, reason in _reasons(level, how_many, rules)
    ]
    places_left = how_many - sum(len(level.holders) for level in levels)
    for placed in ranked:
        if placed.best is None:
            verdict = _without_mark(by_draw[placed.entry], placed.status, rules, places_left)
            places_left -= verdict.goes_on
            verdicts.append(verdict)
    return verdicts


class _Level(NamedTuple):
    """Entries with the same marks, in draw order. `ahead` hold a place and are better; `holders` hold one here."""

    lines: list[CutLine]
    holders: list[CutLine]
    ahead: int
    inside: bool

    @property
    def first(self) -> CutLine:
        return (self.holders or self.lines)[0]


def _levels(ranked: Sequence[CutLine], how_many: int, rules: RuleSet) -> list[_Level]:
    levels: list[_Level] = []
    ahead = 0
    for _, same in groupby(ranked, key=lambda line: line.marks):
        lines = list(same)
        holders = [line for line in lines if _holds_place(line, rules)]
        levels.append(_Level(lines, holders, ahead, inside=ahead < how_many))
        ahead += len(holders)
    return levels


def _holds_place(line: CutLine, rules: RuleSet) -> bool:
    if line.withdrawn and rules.withdrawn_replaced:
        return False
    return rules.guests_hold_place or not line.guest


def _reasons(level: _Level, how_many: int, rules: RuleSet) -> Iterator[tuple[CutLine, CutReason]]:
    room = how_many - level.ahead
    for line in level.lines:
        if not level.inside:
            yield line, CutReason.OUT_BY_RANK
        elif line.withdrawn:
            yield line, CutReason.OUT_WITHDRAWN
        elif line not in level.holders:
            yield line, CutReason.IN_AS_GUEST if rules.guests_go_on else CutReason.OUT_AS_GUEST
        elif len(level.holders) <= room:
            yield line, CutReason.IN_BY_RANK
        elif rules.ties_go_on:
            yield line, CutReason.IN_BY_TIE
        else:
            drawn = line in level.holders[:room]
            yield line, CutReason.IN_BY_RANK if drawn else CutReason.OUT_BY_DRAW


def _decision(line: CutLine, other: CutLine | None) -> Decision | None:
    if other is None or other.marks[0] != line.marks[0]:
        return None
    return separated(Contender(line.entry, line.marks), Contender(other.entry, other.marks))


def _without_mark(line: CutLine, status: str, rules: RuleSet, places_left: int) -> CutVerdict:
    out = {"DNS": CutReason.OUT_DNS, "DQ": CutReason.OUT_DQ}.get(status, CutReason.OUT_NO_MARK)
    may = status == "NM" and not (rules.cut_needs_mark or line.guest or line.withdrawn)
    goes_on = may and places_left > 0
    return CutVerdict(line.entry, goes_on, CutReason.IN_BY_RANK if goes_on else out)


def propose_order(lines: Sequence[CutLine], under_protest: Sequence[str], rules: RuleSet) -> tuple[str, ...]:
    """The order of the next round: under protest first, then without a mark, then the best last.

    Those under protest and those without a mark are in draw order, and so are tied ones. Rule: WA (from memory).

    >>> from scoring.rulesets import rule_set
    >>> lines = [CutLine("a", (512,), 1), CutLine("b", (), 2), CutLine("c", (540,), 3), CutLine("d", (512,), 4)]
    >>> propose_order(lines, ("c",), rule_set("international"))
    ('c', 'b', 'a', 'd')
    """
    by_draw = sorted(lines, key=lambda line: line.draw)
    first = [line.entry for line in by_draw if line.entry in under_protest]
    rest = [line for line in by_draw if line.entry not in under_protest]
    if rules.order_after_cut == "reverse ranking":
        rest.sort(key=lambda line: line.marks)
    return (*first, *(line.entry for line in rest))


def qualifiers(placed: Sequence[Placed], rules: RuleSet) -> dict[str, str]:
    """`Q` by the standard, `q` to fill up to `qualify`, tied for the last place included; by entry.

    >>> from scoring.rulesets import rule_set
    >>> rules = rule_set("qualification").with_changes({"standard": 800, "qualify": 2})
    >>> qualifiers(rank([Contender("a", (801,)), Contender("b", (790,)), Contender("c", (780,))]), rules)
    {'a': 'Q', 'b': 'q'}
    """
    found: dict[str, str] = {}
    competing = [p for p in placed if p.place is not None and p.best is not None]
    for p in competing:
        if rules.standard and (p.best or 0) >= rules.standard:
            found[p.entry] = "Q"
    for p in competing:
        if p.entry not in found and (p.place or 0) <= rules.qualify:
            found[p.entry] = "q"
    return found
