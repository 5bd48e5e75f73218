"""Flights: who jumps in which flight and in what order, drawn by a lot that can be repeated from its seed.

Every draw rests on `random.Random(seed).random()` alone, the one sequence that Python promises to keep
between versions, and starts from the entries sorted by what they say of themselves, then by their keys. So the
same seed and the same entries give the same draw, whatever order they came in.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby
from random import Random
from typing import TypeVar

from scoring.errors import RuleError
from scoring.spread import spread_apart

Item = TypeVar("Item")


class NotADraw(RuleError):
    """Something that cannot be drawn.

    >>> str(NotADraw(0, expected="at least one athlete in a flight"))
    '0 cannot be drawn; expected at least one athlete in a flight'
    """

    says = "cannot be drawn"


class DrawMethod(StrEnum):
    """How flights are made: by lot; by seed mark, the best flight last; by board; schools in turn.

    >>> DrawMethod("by-board").name
    'BY_BOARD'
    """

    LOT = "lot"
    SEEDED = "seeded"
    BY_BOARD = "by-board"
    SCHOOL_ROTATION = "school-rotation"


@dataclass(frozen=True, slots=True)
class DrawLine:
    """What the draw needs to know of an entry. `entry` is its key, unique in the event.

    Units: `seed_mark` in the meet's unit, None for unseeded; `board_cm` in centimetres, None if not yet told.
    `sorted_by`: what the entries are put in order by before the lot (a bib, a name and school), so that one seed
    draws the same list wherever the same entries have other keys; the key decides where it is equal.

    >>> DrawLine("e1", "MAR", "A", seed_mark=543, board_cm=None).school
    'MAR'
    """

    entry: str
    school: str
    string: str = ""
    seed_mark: int | None = None
    board_cm: int | None = None
    sorted_by: str = ""


def shuffle(items: Iterable[Item], rng: Random) -> list[Item]:
    """Put items in an order by lot (Fisher and Yates), using `rng.random()` only.

    Rule: order by lot, WA TR 25 (number from memory).

    >>> shuffle("ABCDEF", Random(7))
    ['D', 'F', 'E', 'C', 'A', 'B']
    """
    drawn = list(items)
    for last in range(len(drawn) - 1, 0, -1):
        other = int(rng.random() * (last + 1))
        drawn[last], drawn[other] = drawn[other], drawn[last]
    return drawn


def draw_by_lot(ids: Iterable[str], seed: int) -> tuple[str, ...]:
    """Draw an order by lot, whatever order the ids come in.

    Rule: order by lot, WA TR 25 (number from memory).

    >>> draw_by_lot(["31", "4", "AA", "17"], seed=2026) == draw_by_lot(["AA", "17", "31", "4"], seed=2026)
    True
    """
    return tuple(shuffle(sorted(ids), Random(seed)))


def flight_sizes(starters: int, largest: int) -> tuple[int, ...]:
    """Split a field into the fewest flights of at most `largest`, their sizes at most one apart.

    Rule: common practice. Raises NotADraw.

    >>> flight_sizes(14, 12), flight_sizes(25, 12), flight_sizes(0, 12)
    ((7, 7), (9, 8, 8), ())
    """
    if largest < 1:
        raise NotADraw(largest, expected="at least one athlete in a flight")
    flights = -(-starters // largest)
    return tuple(starters // flights + (number < starters % flights) for number in range(flights))


def school_order(schools: Iterable[str], seed: int, rotation: int = 0) -> tuple[str, ...]:
    """Give the order in which schools start: by lot, moved on by `rotation` places.

    With one seed for a meet and 0, 1, 2, ... for its events, another school starts in each.
    Rule: local custom, a field.

    >>> first, second = (school_order(["BRA", "MAR", "THO"], 5, rotation) for rotation in (0, 1))
    >>> second == (*first[1:], first[0])
    True
    """
    drawn = draw_by_lot(set(schools), seed)
    start = rotation % len(drawn) if drawn else 0
    return drawn[start:] + drawn[:start]


def make_flights(
    lines: Sequence[DrawLine],
    *,
    method: DrawMethod,
    seed: int,
    largest: int,
    spread_schools: bool = False,
    a_before_b: bool = False,
    rotation: int = 0,
    schools: Iterable[str] = (),
) -> tuple[tuple[str, ...], ...]:
    """Draw the flights of an event: entries in call order, flight by flight.

    LOT orders the whole field by lot and cuts it into flights; `spread_schools` deals each school's athletes
    out over the flights and moves them apart inside one. SEEDED puts the best seed marks into the last
    flight, the unseeded into the first, with a lot inside each. BY_BOARD puts the shortest boards first, so
    that a board changes as seldom as can be; not yet told counts as shortest. SCHOOL_ROTATION takes one
    athlete of each school in turn, the schools as in `school_order` of `schools` (those of the meet) and
    those here. `a_before_b` puts all A strings before all B strings, inside a flight when seeded, inside a
    board when by board.
    Rule: order by lot, WA TR 25 (number from memory); the rest common practice. Raises NotADraw.

    >>> lines = [DrawLine(entry, "MAR", seed_mark=mark) for entry, mark in zip("abcd", (410, None, 505, 480))]
    >>> [sorted(flight) for flight in make_flights(lines, method=DrawMethod.SEEDED, seed=1, largest=2)]
    [['a', 'b'], ['c', 'd']]
    """
    for entry, times in Counter(line.entry for line in lines).items():
        if times > 1:
            raise NotADraw(entry, expected="each entry once")
    sizes = flight_sizes(len(lines), largest)
    lot = shuffle(sorted(lines, key=lambda line: (line.sorted_by, line.entry)), Random(seed))
    match DrawMethod(method):
        case DrawMethod.SEEDED:
            hands = [set(flight) for flight in _cut(sorted(lot, key=_seed), sizes)]
            flights = [_in_order([line for line in lot if line in hand], spread_schools, a_before_b) for hand in hands]
        case DrawMethod.BY_BOARD:
            by_board = _cut(sorted(lot, key=_board), sizes)
            flights = [_board_by_board(flight, spread_schools, a_before_b) for flight in by_board]
        case DrawMethod.SCHOOL_ROTATION:
            turn = school_order({*schools, *(line.school for line in lines)}, seed, rotation)
            flights = _cut(_in_turn(lot, turn, a_before_b), sizes)
        case _ if spread_schools and not a_before_b:
            flights = [_spread(flight) for flight in _deal_out(lot, len(sizes))]
        case _:
            flights = _cut(_in_order(lot, spread_schools, a_before_b), sizes)
    return tuple(tuple(line.entry for line in flight) for flight in flights)


def _seed(line: DrawLine) -> tuple[bool, int]:
    return (line.seed_mark is not None, line.seed_mark or 0)


def _board(line: DrawLine) -> int:
    return line.board_cm or 0


def _string(line: DrawLine) -> tuple[bool, str]:
    return (not line.string, line.string)


def _spread(lot: Sequence[DrawLine], before: Sequence[DrawLine] = ()) -> list[DrawLine]:
    return spread_apart(lot, school=lambda line: line.school, before=before)


def _cut(lines: Sequence[DrawLine], sizes: Sequence[int]) -> list[list[DrawLine]]:
    starts = [sum(sizes[:number]) for number in range(len(sizes))]
    return [list(lines[start : start + size]) for start, size in zip(starts, sizes, strict=True)]


def _in_order(
    lot: Sequence[DrawLine], spread: bool, a_before_b: bool, before: Sequence[DrawLine] = ()
) -> list[DrawLine]:
    layers = [list(lot)]
    if a_before_b:
        layers = [list(layer) for _, layer in groupby(sorted(lot, key=_string), key=_string)]
    order: list[DrawLine] = []
    for layer in layers:
        order += _spread(layer, [*before, *order]) if spread else layer
    return order


def _board_by_board(flight: Sequence[DrawLine], spread: bool, a_before_b: bool) -> list[DrawLine]:
    order: list[DrawLine] = []
    for _, block in groupby(flight, key=_board):
        order += _in_order(list(block), spread, a_before_b, order)
    return order


def _deal_out(lot: Sequence[DrawLine], flights: int) -> list[list[DrawLine]]:
    """Deal the lot out like cards, school by school, so that a school's shares are at most one apart."""
    schools = dict.fromkeys(line.school for line in lot)
    dealt = [line for school in schools for line in lot if line.school == school]
    hands = [set(dealt[number::flights]) for number in range(flights)]
    return [[line for line in lot if line in hand] for hand in hands]


def _in_turn(lot: Sequence[DrawLine], turn: Sequence[str], a_before_b: bool) -> list[DrawLine]:
    """One athlete of each school after another, or of each string of each school after another."""
    drawn: Counter[tuple[str, tuple[bool, str]]] = Counter()
    places = {}
    for line in lot:
        layer = _string(line) if a_before_b else (False, "")
        places[line] = (layer, drawn[line.school, layer], turn.index(line.school))
        drawn[line.school, layer] += 1
    return sorted(lot, key=places.__getitem__)
