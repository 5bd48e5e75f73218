"""What stands beside a mark: personal and season's best, the standard reached, records."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from meets.models import Entry, Event, RecordClaim
from meets.records.books import marked, show_in
from meets.records.candidates import Candidate, candidates_of
from meets.records.earlier import Earlier, earlier_of
from meets.records.standards import StandardLine, reached, standards_of
from meets.records.words import hit_words, level_words, would_be
from scoring.bests import best_sign, counting_winds
from scoring.marks import Unit, show_mark
from scoring.rulesets import RuleSet
from scoring.state import EntryState, EventState
from scoring.trials import Trial
from scoring.wind import WindStatus, show_wind, wind_status

NOT_A_HIT = (RecordClaim.State.REFUSED, RecordClaim.State.WITHDRAWN)


@dataclass(frozen=True, slots=True)
class RecordHit:
    """A mark that beats or equals a record: a claim, or approved. `claim_state` is empty before the claim is stored."""

    level: str
    book: str
    equals: bool
    claim_state: str = ""
    shown: str = ""
    says: str = ""


@dataclass(frozen=True, slots=True)
class Honours:
    """`signs`: PB or SB. `best_shown` with `best_wind` is the mark that signs and standard go by.

    `windy_shown` is a wind-assisted best, kept beside. `not_records`: sentences about marks that are long enough for
    a record and no claim.
    """

    signs: tuple[str, ...] = ()
    best_shown: str = ""
    best_wind: str = ""
    windy_shown: str = ""
    windy_wind: str = ""
    standard: str = ""
    records: tuple[RecordHit, ...] = ()
    not_records: tuple[str, ...] = ()


def honours_of(event: Event, state: EventState, entries: Sequence[Entry]) -> dict[str, Honours]:
    """By entry key, for everybody in the state."""
    earlier, standards = earlier_of(event, entries, state.rules), standards_of(event)
    hits, others = _records(event, state, entries)
    unit = Unit(event.meet.unit)
    return {
        entry.line.entry: _honours(
            entry, state.rules, unit, earlier.get(entry.line.entry, Earlier()), standards,
            tuple(hits[entry.line.entry]), tuple(others[entry.line.entry]),
        )
        for entry in state.entries
    }  # fmt: skip


def _honours(
    entry: EntryState, rules: RuleSet, unit: Unit, earlier: Earlier, standards: Sequence[StandardLine],
    hits: tuple[RecordHit, ...], others: tuple[str, ...],
) -> Honours:  # fmt: skip
    if entry.status == "DQ":
        return Honours()
    best = _best(entry, counting_winds(rules), rules)
    sign = best_sign(entry.series, rules, ever=earlier.ever, season=earlier.season)
    windy = _wind_assisted_best(entry, rules, best, earlier)
    return Honours(
        signs=(sign,) if sign else (),
        best_shown=_shown(best, unit, rules) if best else "",
        best_wind=show_wind(best.wind) if best else "",
        windy_shown=_shown(windy, unit, rules) if windy else "",
        windy_wind=show_wind(windy.wind) if windy else "",
        standard=reached(standards, best.valid_mark) if best else "",
        records=hits,
        not_records=others,
    )


def _shown(trial: Trial, unit: Unit, rules: RuleSet) -> str:
    return marked(show_mark(trial.valid_mark or 0, unit), trial.wind, rules.wind_limit_tenths)


def _best(entry: EntryState, winds: frozenset[WindStatus], rules: RuleSet) -> Trial | None:
    """The longest of the trials whose wind is one of these; of equal ones a legal one, then the first."""
    limit = rules.wind_limit_tenths
    fitting = [
        trial
        for trial in entry.series.trials
        if trial.valid_mark is not None and wind_status(trial.wind, limit) in winds
    ]
    return min(
        fitting,
        key=lambda t: (-(t.valid_mark or 0), wind_status(t.wind, limit) is not WindStatus.LEGAL),
        default=None,
    )


def _wind_assisted_best(entry: EntryState, rules: RuleSet, best: Trial | None, earlier: Earlier) -> Trial | None:
    """A windy mark that is longer than everything known of the athlete, where such a mark is no personal best."""
    if rules.take_off_zone or rules.windy_counts_for_bests or not earlier.ever:
        return None
    windy = _best(entry, frozenset({WindStatus.WINDY}), rules)
    known = [*earlier.ever, *earlier.windy, *([best.valid_mark or 0] if best else [])]
    return windy if windy and (windy.valid_mark or 0) > max(known) else None


def _records(
    event: Event, state: EventState, entries: Sequence[Entry]
) -> tuple[dict[str, list[RecordHit]], dict[str, list[str]]]:
    """Claims by entry, one for each book (the longest), and sentences about marks that are none."""
    hits: dict[str, list[RecordHit]] = defaultdict(list)
    others: dict[str, list[str]] = defaultdict(list)
    candidates = candidates_of(event, state, entries)
    stored = _stored_states(event) if candidates else {}
    best: dict[tuple[str, int], Candidate] = {}
    for one in candidates:
        if one.found.is_claim and stored.get((one.book.pk, one.turn)) not in NOT_A_HIT:
            best[one.entry, one.book.pk] = one
    for one in longest_of_each_kind(candidates):
        others[one.entry].append(not_a_record(one, event))
    for (entry, book), one in best.items():
        hits[entry].append(_hit(one, stored.get((book, one.turn), ""), event))
    return hits, others


def longest_of_each_kind(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Of the marks of an athlete that are no claim on a book for the same reason, the longest."""
    found: dict[tuple[str, int, object], Candidate] = {}
    for one in candidates:
        key = (one.entry, one.book.pk, one.found.why_not)
        if not one.found.is_claim and (key not in found or one.found.jump.mark > found[key].found.jump.mark):
            found[key] = one
    return list(found.values())


def _stored_states(event: Event) -> dict[tuple[int, str], str]:
    found = RecordClaim.objects.filter(event=event).values_list("book", "turn", "state")
    return {(book, turn): state for book, turn, state in found}


def _hit(one: Candidate, claim_state: str, event: Event) -> RecordHit:
    level = level_words(one.book)
    shown = marked(show_mark(one.found.jump.mark, Unit(event.meet.unit)), one.wind)
    says = hit_words(level, equals=one.found.equals, state=claim_state)
    return RecordHit(level, one.book.name, one.found.equals, claim_state, shown, says)


def not_a_record(one: Candidate, event: Event) -> str:
    """Why a mark that is long enough is no claim, in a sentence."""
    unit = Unit(event.meet.unit)
    assert one.found.why_not is not None
    return would_be(
        marked(show_mark(one.found.jump.mark, unit), one.wind),
        level_words(one.book),
        show_in(one.bar.mark, one.bar.unit, unit),
        equals=one.found.equals,
        why_not=one.found.why_not,
    )
