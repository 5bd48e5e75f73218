"""What the next trial must bring: the smallest mark that goes on at the next cut, or that wins.

Nothing is ranked here. The engine's own cut and places are asked what a mark would do, and the smallest that does it is
found by halving, since a longer jump never does its athlete harm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from scoring.cut import CutLine, CutProposal, propose_cut, qualifiers
from scoring.places import Contender, rank_by_class
from scoring.rulesets import RuleSet
from scoring.state import EntryState, EventState

Line = TypeVar("Line", CutLine, Contender)


class NoNeed(StrEnum):
    """Why there is no such mark."""

    INSIDE = "inside already"
    NO_TRIAL = "no trial left before it is decided"
    NOTHING_AHEAD = "nothing is decided by a cut or a qualifying place any more"
    NO_PLACE = "competes for no place"
    TOO_FAR = "no mark that can be is enough"


@dataclass(frozen=True, slots=True)
class Need:
    """The smallest mark that is enough, in the meet's unit, or why there is none."""

    mark: int | None = None
    why_none: NoNeed | None = None


@dataclass(frozen=True, slots=True)
class Needs:
    """What an athlete's next trial must bring, as all others stand.

    `go_on`: to be among those who go on at the next cut, or who qualify; `after_round` and `how_many` say at which,
    0 where there is none. `win`: to be alone in first place; `lead`: the same before the guests too, who take no place.
    """

    entry: str
    go_on: Need
    win: Need
    lead: Need
    after_round: int = 0
    how_many: int = 0


def mark_to_go_on(lines: Sequence[CutLine], entry: str, after_round: int, rules: RuleSet, *, longest: int) -> Need:
    """The smallest further mark with which an entry goes on at the rule set's cut after a round.

    `lines`: everybody at that cut, with the valid marks so far; `longest`: the longest mark that can be. Units: the
    meet's. Rule: WA (the best with valid marks; next best; equal for the last place: all go on), guests by the set's
    fields. Raises KeyError when the set has no cut there.

    >>> from scoring.rulesets import rule_set
    >>> rules = rule_set("international").with_changes({"cuts": ((3, 1),)})
    >>> lines = [CutLine("a", (512, 498), 1), CutLine("b", (498,), 2)]
    >>> mark_to_go_on(lines, "b", 3, rules, longest=950).mark
    512
    """

    def goes_on(mark: int | None) -> bool:
        tried = [_with(line, mark) if line.entry == entry else line for line in lines]
        return entry in propose_cut(tried, after_round, rules).going_on

    return _smallest(goes_on, longest)


def mark_to_win(contenders: Sequence[Contender], entry: str, *, longest: int) -> Need:
    """The smallest further mark with which an entry is alone in first place, in its class where there are several.

    Units: the meet's; `longest` as above. Rule: WA TR 26 (number from memory): best, next best, third best.

    >>> field = [Contender("a", (512, 498)), Contender("b", (505,))]
    >>> mark_to_win(field, "b", longest=950).mark, mark_to_win(field, "a", longest=950).why_none.value
    (512, 'inside already')
    """

    def wins(mark: int | None) -> bool:
        tried = [_with(one, mark) if one.entry == entry else one for one in contenders]
        return any(p.entry == entry and p.place == 1 and not p.level for p in rank_by_class(tried))

    return _smallest(wins, longest)


def mark_to_qualify(contenders: Sequence[Contender], entry: str, rules: RuleSet, *, longest: int) -> Need:
    """The smallest further mark with which an entry qualifies, by the standard or as one of those who fill up.

    Units: the meet's; `longest` as above. Rule: qualification rounds as published (Q, q).

    >>> from scoring.rulesets import rule_set
    >>> rules = rule_set("qualification").with_changes({"standard": 800, "qualify": 1})
    >>> mark_to_qualify([Contender("a", (790,)), Contender("b", (700,))], "b", rules, longest=950).mark
    790
    """

    def qualifies(mark: int | None) -> bool:
        tried = [_with(one, mark) if one.entry == entry else one for one in contenders]
        return entry in qualifiers(rank_by_class(tried), rules)

    return _smallest(qualifies, longest)


def needs_of(state: EventState, entry: str, *, longest: int) -> Needs:
    """What the next trial of one entry must bring, as everybody else stands in `state`.

    Units: marks in the meet's unit; `longest`: the longest mark that can be. Raises KeyError for an unknown entry.

    >>> from scoring.event import replay
    >>> from scoring.log import Row
    >>> from scoring.facts import Drawn, Jumped
    >>> from scoring.rulesets import rule_set
    >>> from scoring.state import StartLine
    >>> from scoring.trials import Result
    >>> log = [Row("r1", 1, Drawn((("a", "b"),))), Row("r2", 2, Jumped("a", 1, Result.MARK, 512))]
    >>> state = replay([StartLine("a", "4"), StartLine("b", "7")], log, rule_set("international"))
    >>> needs = needs_of(state, "b", longest=950)
    >>> needs.win.mark, needs.go_on.why_none.value
    (513, 'nothing is decided by a cut or a qualifying place any more')
    """
    own = state.entry(entry)
    turn = next((turn.turn for turn in state.turns if turn.turn.entry == entry), None)
    if turn is None:
        none = Need(why_none=NoNeed.NO_TRIAL)
        return Needs(entry, none, none, none)
    contenders = [_contender(one) for one in state.entries]
    go_on, after_round, how_many = _to_go_on(state, own, turn.round, contenders, longest)
    unplaced = Need(why_none=NoNeed.NO_PLACE)
    win = unplaced if own.guest else mark_to_win(contenders, entry, longest=longest)
    everybody = [one._replace(guest=False) for one in contenders]
    return Needs(entry, go_on, win, mark_to_win(everybody, entry, longest=longest), after_round, how_many)


def cut_as_it_stands(state: EventState) -> CutProposal | None:
    """Who would go on if the next cut were taken now; None where no cut is ahead.

    >>> from scoring.event import replay
    >>> from scoring.log import Row
    >>> from scoring.facts import Drawn, Jumped
    >>> from scoring.rulesets import rule_set
    >>> from scoring.state import StartLine
    >>> from scoring.trials import Result
    >>> log = [Row("r1", 1, Drawn((("a", "b"),))), Row("r2", 2, Jumped("a", 1, Result.MARK, 512))]
    >>> rules = rule_set("international").with_changes({"cuts": ((3, 1),)})
    >>> cut_as_it_stands(replay([StartLine("a", "4"), StartLine("b", "7")], log, rules)).going_on
    ('a',)
    """
    if state.next_cut is None:
        return None
    return propose_cut(_cut_lines(state), state.next_cut[0], state.rules)


def _to_go_on(
    state: EventState, own: EntryState, round: int, contenders: Sequence[Contender], longest: int
) -> tuple[Need, int, int]:
    """What is needed at the next cut, after which round that is, and how many go on there."""
    entry, rules = own.line.entry, state.rules
    if state.next_cut is None:
        if not (rules.standard or rules.qualify):
            return Need(why_none=NoNeed.NOTHING_AHEAD), 0, 0
        if own.guest:
            return Need(why_none=NoNeed.NO_PLACE), 0, rules.qualify
        return mark_to_qualify(contenders, entry, rules, longest=longest), 0, rules.qualify
    after_round, how_many = state.next_cut
    if round > after_round:
        return Need(why_none=NoNeed.NO_TRIAL), after_round, how_many
    return mark_to_go_on(_cut_lines(state), entry, after_round, rules, longest=longest), after_round, how_many


def _smallest(enough: Callable[[int | None], bool], longest: int) -> Need:
    """The smallest mark from 1 to `longest` that is enough."""
    if enough(None):
        return Need(why_none=NoNeed.INSIDE)
    if not enough(longest):
        return Need(why_none=NoNeed.TOO_FAR)
    low, high = 0, longest
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return Need(high)


def _with(line: Line, mark: int | None) -> Line:
    return line if mark is None else line._replace(marks=tuple(sorted((*line.marks, mark), reverse=True)), status="")


def _contender(entry: EntryState) -> Contender:
    status = entry.status if entry.status != "NM" else ""
    return Contender(entry.line.entry, entry.series.marks, status, entry.guest, entry.line.klass)


def _cut_lines(state: EventState) -> list[CutLine]:
    """Everybody who still takes part, for the next cut."""
    return [_cut_line(one) for one in state.entries if one.goes_on is not False]


def _cut_line(entry: EntryState) -> CutLine:
    """An entry at the next cut; whoever has no turn left before it holds what was jumped, and takes no more trials."""
    status = entry.status if entry.status != "NM" else ""
    gone = entry.finished and not status
    return CutLine(entry.line.entry, entry.series.marks, entry.order, status, entry.guest, withdrawn=gone)
