"""Decisions put into sentences: every place, everybody in or out at a cut, the proposals.

A `Sentence` is an English message with its values; whoever shows it may translate the message first (it is a
constant of this module) and then fill in the values. Bibs and marks arrive already as text.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from scoring.cut import CutProposal, CutReason, CutVerdict, TrialsProposal
from scoring.marks import Unit, show_mark
from scoring.places import Decision, Placed

NTH = {
    1: "best",
    2: "next best",
    3: "third best",
    4: "fourth best",
    5: "fifth best",
    6: "sixth best",
}
NO_MARK = "no further mark"

BEST = "Best %(best)s."
BEATS = "Equal best %(best)s with bib %(bib)s; %(nth)s %(own)s beats %(theirs)s."
LOSES = "Equal best %(best)s with bib %(bib)s; %(nth)s %(own)s loses to %(theirs)s."
SHARES = "Equal with %(bibs)s in every mark, so they share the place."
GUEST = "A guest: listed where the mark belongs, without place or points."
NO_VALID = "No valid mark."
DID_NOT_START = "Took no trial."
DISQUALIFIED = "Disqualified: %(reason)s."
NOT_YET = "No mark yet."

IN_BY_RANK = "In: %(rank)s of the best %(many)s after round %(round)s with %(best)s."
IN_BY_DECISION = "In: equal best %(best)s with bib %(bib)s; %(nth)s %(own)s beats %(theirs)s."
IN_NO_MARK = "In without a mark: fewer than %(many)s have one."
IN_BY_TIE = "In: equal in every mark for the last of %(many)s places, so all who are equal go on."
IN_AS_GUEST = "In as a guest, as an extra: the mark %(best)s is good enough."
IN_UNDER_PROTEST = "Goes on under protest: in if the protest is upheld, else these trials do not count."
OUT_BY_RANK = "Out: %(rank)s with %(best)s, and the best %(many)s go on."
OUT_BY_DECISION = "Out: equal best %(best)s with bib %(bib)s; %(nth)s %(own)s loses to %(theirs)s."
OUT_BY_DRAW = "Out: equal in every mark with the last of the best %(many)s, and behind in the draw."
OUT_NO_MARK = "Out: no valid mark."
OUT_BEHIND = "Out: a guest with %(best)s, not good enough for the best %(many)s."
OUT_AS_GUEST = "Out: guests take no further trials in this meet."
OUT_WITHDRAWN = "Out: withdrawn."
OUT_DNS = "Out: did not start."
OUT_DQ = "Out: disqualified."

MORE_START = (
    "%(starters)s started, more than %(limit)s: the best %(limit)s after round %(round)s take %(rounds)s trials."
)
FEW_START = "%(starters)s started, not more than %(limit)s: everybody takes %(rounds)s trials, without a cut."


@dataclass(frozen=True, slots=True)
class Sentence:
    """A message with its values; `str` fills them in.

    >>> str(Sentence(BEST, {"best": "5.43"}))
    'Best 5.43.'
    """

    message: str
    values: Mapping[str, object] = field(default_factory=dict)

    def __str__(self) -> str:
        return self.message % self.values


def ordinal(number: int) -> str:
    """English ordinal.

    >>> [ordinal(n) for n in (1, 2, 3, 4, 11, 22)]
    ['1st', '2nd', '3rd', '4th', '11th', '22nd']
    """
    if 10 <= number % 100 <= 20:
        return f"{number}th"
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th') }"


def explain_place(
    placed: Placed, bib_of: Callable[[str], str], unit: Unit = Unit.CM, *, reason: str = ""
) -> tuple[Sentence, ...]:
    """Why an entry has its place: its best, and what separated it from those with an equal best.

    >>> from scoring.places import Contender, rank
    >>> first, second = rank([Contender("a", (512, 502)), Contender("b", (512, 498))])
    >>> [str(sentence) for sentence in explain_place(first, {"a": "31", "b": "17"}.get)]
    ['Equal best 5.12 with bib 17; next best 5.02 beats 4.98.']
    """
    if placed.best is None:
        none = {
            "NM": Sentence(NO_VALID),
            "DNS": Sentence(DID_NOT_START),
            "DQ": Sentence(DISQUALIFIED, {"reason": reason}),
        }
        return (none.get(placed.status, Sentence(NOT_YET)),)
    found = []
    if placed.lost_to is not None:
        found.append(_compared(LOSES, placed.best, placed.lost_to, bib_of, unit))
    if placed.shared_with:
        bibs = ", ".join(f"bib {bib_of(entry)}" for entry in placed.shared_with)
        found.append(Sentence(SHARES, {"bibs": bibs}))
    if placed.beat is not None:
        found.append(_compared(BEATS, placed.best, placed.beat, bib_of, unit))
    if not found:
        found.append(Sentence(BEST, {"best": show_mark(placed.best, unit)}))
    if placed.guest:
        found.append(Sentence(GUEST))
    return tuple(found)


def _compared(message: str, best: int, decision: Decision, bib_of: Callable[[str], str], unit: Unit) -> Sentence:
    return Sentence(
        message,
        {
            "best": show_mark(best, unit),
            "bib": bib_of(decision.other),
            "nth": NTH.get(decision.depth, f"{ordinal(decision.depth)} best"),
            "own": _mark(decision.own, unit),
            "theirs": _mark(decision.theirs, unit),
        },
    )


def _mark(mark: int | None, unit: Unit) -> str:
    return NO_MARK if mark is None else show_mark(mark, unit)


def decided_by(placed: Placed, bib_of: Callable[[str], str], unit: Unit = Unit.CM) -> str:
    """The same in a few words, for a table: how the place was decided.

    >>> from scoring.places import Contender, rank
    >>> marks = {"a": (512, 502), "b": (512, 498), "c": (5,)}
    >>> [decided_by(p, str) for p in rank([Contender(*item) for item in marks.items()])]
    ['next best 5.02 against 4.98 (a before b)', 'next best 5.02 against 4.98 (a before b)', 'best']
    """
    if placed.best is None:
        return ""
    parts = []
    if placed.lost_to is not None:
        won, lost = placed.lost_to.theirs, placed.lost_to.own
        names = f"{bib_of(placed.lost_to.other)} before {bib_of(placed.entry)}"
        parts.append(f"{_nth(placed.lost_to)} {_mark(won, unit)} against {_mark(lost, unit)} ({names})")
    if placed.beat is not None:
        won, lost = placed.beat.own, placed.beat.theirs
        names = f"{bib_of(placed.entry)} before {bib_of(placed.beat.other)}"
        parts.append(f"{_nth(placed.beat)} {_mark(won, unit)} against {_mark(lost, unit)} ({names})")
    if placed.shared_with:
        parts.append(f"shared with {', '.join(map(bib_of, placed.shared_with))}")
    return "; ".join(parts) or "best"


def _nth(decision: Decision) -> str:
    return NTH.get(decision.depth, f"{ordinal(decision.depth)} best")


def explain_trials(proposal: TrialsProposal, *, cut_after: int) -> Sentence:
    """How many trials each takes, and why.

    >>> str(explain_trials(TrialsProposal(7, 8, 6, False), cut_after=3))
    '7 started, not more than 8: everybody takes 6 trials, without a cut.'
    """
    values = {
        "starters": proposal.starters,
        "limit": proposal.limit,
        "rounds": proposal.rounds,
        "round": cut_after,
    }
    return Sentence(MORE_START if proposal.with_cut else FEW_START, values)


def explain_cut(
    verdict: CutVerdict,
    proposal: CutProposal,
    marks: tuple[int, ...],
    bib_of: Callable[[str], str],
    unit: Unit = Unit.CM,
) -> Sentence:
    """Why somebody is in or out at a cut. `marks`: their valid marks up to it, best first.

    >>> verdict = CutVerdict("a", False, CutReason.OUT_BY_RANK, 9)
    >>> str(explain_cut(verdict, CutProposal(3, 8, (), (), ()), (498,), str))
    'Out: 9th with 4.98, and the best 8 go on.'
    """
    best = show_mark(marks[0], unit) if marks else NO_MARK
    values: dict[str, object] = {
        "best": best,
        "many": proposal.how_many,
        "round": proposal.after_round,
        "rank": ordinal(verdict.rank) if verdict.rank else "",
    }
    decided = {CutReason.IN_BY_RANK: IN_BY_DECISION, CutReason.OUT_BY_RANK: OUT_BY_DECISION}
    if verdict.decision is not None and verdict.reason in decided:
        return _compared(decided[verdict.reason], marks[0], verdict.decision, bib_of, unit)
    if verdict.reason is CutReason.IN_BY_RANK and not marks:
        return Sentence(IN_NO_MARK, values)
    if verdict.reason is CutReason.OUT_BY_RANK and verdict.guest:
        return Sentence(OUT_BEHIND, values)
    return Sentence(_CUT[verdict.reason], values)


_CUT = {
    CutReason.IN_BY_RANK: IN_BY_RANK,
    CutReason.IN_BY_TIE: IN_BY_TIE,
    CutReason.IN_AS_GUEST: IN_AS_GUEST,
    CutReason.IN_UNDER_PROTEST: IN_UNDER_PROTEST,
    CutReason.OUT_BY_RANK: OUT_BY_RANK,
    CutReason.OUT_BY_DRAW: OUT_BY_DRAW,
    CutReason.OUT_NO_MARK: OUT_NO_MARK,
    CutReason.OUT_AS_GUEST: OUT_AS_GUEST,
    CutReason.OUT_WITHDRAWN: OUT_WITHDRAWN,
    CutReason.OUT_DNS: OUT_DNS,
    CutReason.OUT_DQ: OUT_DQ,
}

MESSAGES: tuple[str, ...] = tuple(
    value
    for name, value in list(globals().items())
    if name.isupper() and not name.startswith("_") and isinstance(value, str)
) + tuple(NTH.values())
"""Every text of this module that people read: whoever translates walks this list."""
