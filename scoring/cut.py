"""Who goes on: how many trials each takes, and who is in or out at a cut. Proposals, with the reason for everybody.

Officials take the cut; this module only proposes. Rules: WA (more than 8 starters: 3 each, the 8 best with valid
marks 3 more; 8 or fewer: all trials each), reports of the IAAF on qualifying rounds for ties, custom for guests.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from scoring.places import Contender, Decision, Placed, rank
from scoring.rulesets import RuleSet


class CutReason(StrEnum):
    """Why somebody is in or out at a cut."""

    IN_BY_RANK = "in by rank"
    IN_BY_TIE = "in by tie"
    IN_AS_GUEST = "in as guest"
    IN_UNDER_PROTEST = "in under protest"
    OUT_BY_RANK = "out by rank"
    OUT_NO_MARK = "out without a mark"
    OUT_AS_GUEST = "out as guest"
    OUT_WITHDRAWN = "out withdrawn"
    OUT_DNS = "out did not start"
    OUT_DQ = "out disqualified"


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
    """In or out, and why. `rank` among those with a mark; `decision` what separated it from its neighbour."""

    entry: str
    goes_on: bool
    reason: CutReason
    rank: int | None = None
    decision: Decision | None = None


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
    by_entry = {line.entry: line for line in lines}
    ranked = rank([Contender(line.entry, line.marks, line.status) for line in lines])
    with_mark = [p for p in ranked if p.best is not None]
    inside, last_in = _inside(with_mark, by_entry, how_many, rules)
    without = [p for p in ranked if p.best is None]
    verdicts = [_verdict(p, by_entry[p.entry], inside, last_in, how_many) for p in with_mark]
    filled = 0
    for placed in without:
        line = by_entry[placed.entry]
        reason = {"DNS": CutReason.OUT_DNS, "DQ": CutReason.OUT_DQ}.get(placed.status, CutReason.OUT_NO_MARK)
        may = not rules.cut_needs_mark and placed.status == "NM" and not line.guest and not line.withdrawn
        goes_on = may and len(inside) + filled < how_many
        filled += goes_on
        verdicts.append(CutVerdict(line.entry, goes_on, CutReason.IN_BY_RANK if goes_on else reason))
    return verdicts


def _inside(
    ranked: Sequence[Placed], by_entry: dict[str, CutLine], how_many: int, rules: RuleSet
) -> tuple[dict[str, CutReason], Placed | None]:
    """Who is in, with the reason, and the last one who holds a place."""
    inside: dict[str, CutReason] = {}
    held = 0
    last_in: Placed | None = None
    last_group: tuple[str, ...] = ()
    for placed in ranked:
        line = by_entry[placed.entry]
        room = held < how_many
        tied = placed.entry in last_group and rules.ties_go_on
        if line.withdrawn and rules.withdrawn_replaced:
            continue
        if line.guest and not rules.guests_hold_place:
            if (room or tied) and rules.guests_go_on:
                inside[placed.entry] = CutReason.IN_AS_GUEST
            continue
        if room:
            held += 1
            last_in, last_group = placed, placed.shared_with
            inside[placed.entry] = CutReason.IN_BY_RANK
        elif tied:
            inside[placed.entry] = CutReason.IN_BY_TIE
    return inside, last_in


def _verdict(
    placed: Placed, line: CutLine, inside: dict[str, CutReason], last_in: Placed | None, how_many: int
) -> CutVerdict:
    if placed.entry in inside:
        return CutVerdict(placed.entry, True, inside[placed.entry], placed.place, placed.beat)
    if line.withdrawn:
        reason = CutReason.OUT_WITHDRAWN
    elif line.guest and placed.place is not None and placed.place <= how_many:
        reason = CutReason.OUT_AS_GUEST
    else:
        reason = CutReason.OUT_BY_RANK
    return CutVerdict(placed.entry, False, reason, placed.place, placed.lost_to)


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
