"""Which marks and winds would look like slips of the pen: bands of values, worked out before anybody jumps.

One implementation for who asks with the value in hand (`slips.questions`) and for who must ask without the rules at
hand, as a phone out of reach. Thresholds are fields of the rule set (common practice) and hold for centimetres; marks
in quarter inches are compared after conversion.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, floor
from statistics import median

from scoring.boards import possible_range
from scoring.log import Turn
from scoring.marks import Unit, mark_in_cm, mark_in_quarter_inches, show_mark
from scoring.rulesets import RuleSet
from scoring.state import EntryState, EventState

CANNOT_BE = "%(mark)s from the board at %(board)s m would land outside the sand (%(low)s to %(high)s m). Is that right?"
ABOVE = "%(mark)s is far above anything known of bib %(bib)s (best %(best)s). Is that right?"
BELOW = "%(mark)s is far below anything known of bib %(bib)s (best %(best)s). Is that right?"
METRE = "%(guess)s or %(mark)s? Bib %(bib)s usually jumps about %(usual)s."
WIND_FLIP = "%(wind)s, while the last readings were about %(usual)s. Is the sign right?"
WIND_STALE = "%(wind)s for the third time in a row. Has the gauge been started?"

STALE_AFTER = 3
RECENT_WINDS = 5
# So near to what an athlete usually jumps must a mark be, once a metre is added or taken off, to be asked about: it is
# then two and a half times nearer than the mark as typed. Right triple jumps lie a metre apart now and then; 40 asked
# about one in fifteen of them, 28 about one in 38.
SAME_METRE_CM = 28
METRE_CM = 100
# A seed is somebody's best day: in published series the other valid trials lie 2.6 % (long jump) and 1.4 % (triple
# jump) below the best in the middle, at schools more (common practice).
USUAL_PERCENT_OF_SEED = 97
# Who ran through is measured all the same: a mark that no slip explains is asked about from a third below the best.
POOR_SHARE = 3
# So many marks of others show what this field jumps.
FIELD_MARKS = 5
MOST_WIND_TENTHS = 200


@dataclass(frozen=True, slots=True)
class Guess:
    """What may have been meant, in the meet's unit.

    Without `swap`, the mark and `add`. With it, the first that lies from `swap[0]` to `swap[1]`: two neighbouring
    digits exchanged (the smallest number first, none that begins with 0), then the mark and `add`.

    >>> Guess(100).of(443), Guess(100, (480, 600)).of(954), Guess(100, (480, 600)).of(912)
    (543, 594, None)
    """

    add: int
    swap: tuple[int, int] | None = None

    def of(self, mark: int) -> int | None:
        """The mark that may have been meant by this one, None if none fits."""
        if self.swap is None:
            return mark + self.add
        low, high = self.swap
        return next((m for m in (*sorted(_swapped(mark)), mark + self.add) if low <= m <= high), None)


@dataclass(frozen=True, slots=True)
class Band:
    """Values `low` to `high` that raise one question: marks in the meet's unit, winds in tenths of m/s.

    `values` word the message, but for the mark or wind itself and the guess, which go with the value.
    """

    low: int
    high: int
    kind: str
    message: str
    values: dict[str, object] = field(default_factory=dict)
    guess: Guess | None = None


def mark_bands(
    state: EventState,
    turn: Turn,
    *,
    longest: int,
    board_cm: int | None = None,
    seed_mark: int | None = None,
    unit: Unit = Unit.CM,
    sand_cm: int | None = None,
) -> tuple[Band, ...]:
    """Every mark from 1 to `longest` that would be asked about for a turn, lowest band first; none overlap.

    Units: marks, `seed_mark` and `longest` in `unit`. With board and sand, marks that land outside it are asked about.
    Rule: common practice, the thresholds are fields of the rule set.

    >>> from scoring.event import replay
    >>> from scoring.log import Row
    >>> from scoring.rulesets import rule_set
    >>> from scoring.state import StartLine
    >>> state = replay([StartLine("a", "31")], [], rule_set("international"))
    >>> [(band.low, band.high, band.kind) for band in mark_bands(state, Turn("a", 1), longest=950, seed_mark=600)]
    [(1, 453, 'below'), (454, 509, 'metre'), (641, 654, 'above'), (655, 710, 'metre'), (711, 950, 'above')]
    """
    known = _Known.of(state, turn, seed_mark, unit)
    outside = _outside(board_cm, sand_cm, state.rules, known, unit, longest)
    regions = [*outside, *_odd(known, state.rules, unit, longest)]
    bib = state.entry(turn.entry).line.bib
    values = _values(known, bib, unit, board_cm, sand_cm, state.rules)
    return tuple(
        Band(low, high, region.kind, _MESSAGES[region.kind], values[region.kind], region.guess)
        for low, high, region in _joined(regions)
    )


_MESSAGES = {"cannot be": CANNOT_BE, "metre": METRE, "above": ABOVE, "below": BELOW}


@dataclass(frozen=True, slots=True)
class _Region:
    low: int
    high: int
    kind: str
    guess: Guess | None = None


def _joined(regions: Sequence[_Region]) -> Iterator[tuple[int, int, _Region]]:
    """The regions without overlaps: where two hold a mark, the earlier one has it. What is alike is joined."""
    regions = [region for region in regions if region.low <= region.high]
    edges = sorted({edge for region in regions for edge in (region.low, region.high + 1)})
    open_band: tuple[int, int, _Region] | None = None
    for low, end in pairwise(edges):
        found = next((region for region in regions if region.low <= low <= region.high), None)
        if open_band is not None:
            first, last, before = open_band
            same = found is not None and (found.kind, found.guess) == (before.kind, before.guess)
            if same and last == low - 1:
                open_band = (first, end - 1, before)
                continue
            yield open_band
        open_band = None if found is None else (low, end - 1, found)
    if open_band is not None:
        yield open_band


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known of an athlete, in cm: the best, what is usual (None: nothing), the best of the others if needed.

    `best` and `usual` leave the turn itself out. `field_best` stands in where no seed says what the athlete can do.
    """

    best: int = 0
    usual: float | None = None
    field_best: int = 0

    @classmethod
    def of(cls, state: EventState, turn: Turn, seed_mark: int | None, unit: Unit) -> _Known:
        entry = state.entry(turn.entry)
        own = [mark_in_cm(mark, unit) for mark in valid_marks(entry, without=turn.round)]
        if seed_mark:
            seed_cm = mark_in_cm(seed_mark, unit)
            return cls(max(*own, seed_cm) if own else seed_cm, usual_cm(own, seed_cm))
        if not own:
            return cls()
        field = [mark_in_cm(m, unit) for other in state.entries if other is not entry for m in valid_marks(other)]
        return cls(max(own), usual_cm(own, None), max(field) if len(field) >= FIELD_MARKS else 0)


def valid_marks(entry: EntryState, without: int | None = None) -> list[int]:
    """The marks of an entry that count, in the meet's unit, but for those of one round."""
    return [mark for round, trial in entry.by_round.items() if round != without and (mark := trial.valid_mark)]


def usual_cm(own_cm: Sequence[int], seed_cm: int | None) -> float | None:
    """What an athlete usually jumps: the middle of the own marks and of a little less than the seed; None: not known.

    >>> usual_cm([520, 480], None), usual_cm([], 1000), usual_cm([], None)
    (500.0, 970.0, None)
    """
    seed = [] if seed_cm is None else [seed_cm * USUAL_PERCENT_OF_SEED / 100]
    return median([*own_cm, *seed]) if own_cm or seed else None


def _first(cm: float, unit: Unit) -> int:
    """The smallest mark, 1 or more, that is at least so many cm."""
    whole = ceil(cm)
    return max(1, whole if unit is Unit.CM else mark_in_quarter_inches_above(whole))


def marks_inside(board_cm: int, sand_cm: int, zone_cm: int = 0, unit: Unit = Unit.CM) -> tuple[int, int]:
    """The shortest and the longest mark that lie in the sand, in `unit`; the rest as for `possible_range`.

    >>> marks_inside(900, 800), marks_inside(100, 800, unit=Unit.QUARTER_INCH)
    ((900, 1700), (158, 1418))
    """
    low, high = possible_range(board_cm, sand_cm, zone_cm)
    return _first(low, unit), _first(high + 1, unit) - 1


def mark_in_quarter_inches_above(cm: int) -> int:
    """The smallest mark in quarter inches that is at least so many whole centimetres.

    >>> mark_in_quarter_inches_above(499), mark_in_cm(786, Unit.QUARTER_INCH), mark_in_cm(785, Unit.QUARTER_INCH)
    (786, 499, 498)
    """
    below = mark_in_quarter_inches(max(cm, 0))
    return below if mark_in_cm(below, Unit.QUARTER_INCH) >= cm else below + 1


def _outside(
    board_cm: int | None, sand_cm: int | None, rules: RuleSet, known: _Known, unit: Unit, longest: int
) -> Iterator[_Region]:
    """Marks before and beyond the sand; a metre that explains them is guessed all the same."""
    if board_cm is None or sand_cm is None:
        return
    low, high = marks_inside(board_cm, sand_cm, rules.zone_depth_cm, unit)
    for first, last in ((1, low - 1), (high + 1, longest)):
        for metre in _metre(known, unit):
            yield _Region(max(metre.low, first), min(metre.high, last), "cannot be", metre.guess)
        yield _Region(first, last, "cannot be")


def _metre(known: _Known, unit: Unit) -> Iterator[_Region]:
    """Marks a metre away from where the athlete usually jumps. Metres only."""
    if known.usual is None or unit is not Unit.CM:
        return
    near, far = known.usual + METRE_CM - SAME_METRE_CM, known.usual + METRE_CM + SAME_METRE_CM
    yield _Region(max(floor(near) + 1, METRE_CM + 1), floor(far), "metre", Guess(-METRE_CM))
    near, far = known.usual - METRE_CM + SAME_METRE_CM, known.usual - METRE_CM - SAME_METRE_CM
    yield _Region(max(ceil(far), 1), ceil(near) - 1, "metre", Guess(METRE_CM))


def _odd(known: _Known, rules: RuleSet, unit: Unit, longest: int) -> Iterator[_Region]:
    """Marks far from what is known of the athlete; a poor one only where a slip explains it, or a third below."""
    if known.usual is None:
        return
    for metre in _metre(known, unit):
        yield _Region(metre.low, min(metre.high, longest), metre.kind, metre.guess)
    poor, most = known.best - rules.ask_below_best_cm, known.best + rules.ask_above_best_cm
    guess = Guess(METRE_CM, (max(poor, 1), most)) if unit is Unit.CM else None
    yield _Region(_first(max(most, known.field_best) + 1, unit), longest, "above", guess)
    very_poor = min(poor, known.best - known.best / POOR_SHARE)
    yield _Region(1, _first(very_poor, unit) - 1 if very_poor > 1 else 0, "below", guess)
    if guess is not None:
        slipped = {mark for mark in _slips_of(range(max(poor, 1), most + 1)) if very_poor <= mark < poor}
        for low, high in _runs(slipped):
            yield _Region(low, high, "below", guess)


def _slips_of(meant: Iterable[int]) -> Iterator[int]:
    """Marks that a slip makes of these: digits exchanged, or a metre less."""
    for mark in meant:
        yield from _swapped(mark)
        yield mark - METRE_CM


def _runs(marks: Iterable[int]) -> list[tuple[int, int]]:
    """Whole numbers as ranges.

    >>> _runs({3, 1, 2, 7})
    [(1, 3), (7, 7)]
    """
    runs: list[tuple[int, int]] = []
    for mark in sorted(marks):
        if runs and runs[-1][1] == mark - 1:
            runs[-1] = (runs[-1][0], mark)
        else:
            runs.append((mark, mark))
    return runs


def _swapped(mark: int) -> set[int]:
    """Two neighbouring digits exchanged (5.43 and 5.34); exchanged again they give the mark."""
    digits = str(mark)
    swaps = {digits[: i - 1] + digits[i] + digits[i - 1] + digits[i + 1 :] for i in range(1, len(digits))}
    return {int(swap) for swap in swaps if swap != digits and not swap.startswith("0")}


def _values(
    known: _Known, bib: str, unit: Unit, board_cm: int | None, sand_cm: int | None, rules: RuleSet
) -> dict[str, dict[str, object]]:
    """What words each kind of question."""
    best: dict[str, object] = {"bib": bib, "best": show_mark(_in_unit(known.best, unit), unit)}
    values: dict[str, dict[str, object]] = {"above": best, "below": best}
    if known.usual is not None:
        values["metre"] = {"bib": bib, "usual": show_mark(_in_unit(round(known.usual), unit), unit)}
    if board_cm is not None and sand_cm is not None:
        low, high = possible_range(board_cm, sand_cm, rules.zone_depth_cm)
        shown = (("board", board_cm), ("low", low), ("high", high))
        values["cannot be"] = {"bib": bib, **{name: show_mark(cm) for name, cm in shown}}
    return values


def _in_unit(mark_cm: int, unit: Unit) -> int:
    return mark_cm if unit is Unit.CM else mark_in_quarter_inches(mark_cm)


def wind_bands(last_winds: Sequence[int], rules: RuleSet) -> tuple[Band, ...]:
    """Every reading that would be asked about after these, oldest first. Tenths of m/s.

    >>> from scoring.rulesets import rule_set
    >>> [(b.low, b.high, b.kind) for b in wind_bands([14, 12, 12], rule_set("international"))]
    [(-200, -9, 'wind sign'), (12, 12, 'stale wind')]
    """
    recent = list(last_winds)[-RECENT_WINDS:]
    found = []
    stale = recent[-1] if len(recent) >= STALE_AFTER - 1 and len({*recent[1 - STALE_AFTER :]}) == 1 else 0
    if stale:
        found.append(Band(stale, stale, "stale wind", WIND_STALE))
    if len(recent) >= STALE_AFTER:
        # A wind turns slowly, so the last reading says most; the middle of five keeps one gust from deciding.
        usual = (median(recent) + recent[-1]) / 2
        values: dict[str, object] = {"usual": f"{usual / 10:+.1f}"}
        for low, high in _against(usual, rules.ask_wind_flip_tenths, stale):
            found.append(Band(low, high, "wind sign", WIND_FLIP, values))
    return tuple(sorted(found, key=lambda band: band.low))


def _against(usual: float, tenths: int, without: int) -> list[tuple[int, int]]:
    """Readings on the other side of 0 than usual and more than so many tenths away, as ranges; but one of them.

    >>> _against(12.0, 20, 0), _against(12.0, 20, -150), _against(0.0, 20, 0)
    ([(-200, -9)], [(-200, -151), (-149, -9)], [])
    """
    if not usual:
        return []
    low, high = -MOST_WIND_TENTHS, min(-1, ceil(usual - tenths) - 1)
    if usual < 0:
        low, high = max(1, floor(usual + tenths) + 1), MOST_WIND_TENTHS
    ranges = [(low, without - 1), (without + 1, high)] if low <= without <= high else [(low, high)]
    return [(first, last) for first, last in ranges if first <= last]
