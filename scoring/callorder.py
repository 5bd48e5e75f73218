"""Who jumps now, who next, and why: turns still to be taken, in order.

Flights follow one another, each round by round; after a cut or a re-ordering everybody is in one order. A
replacement trial comes before any other. An athlete away with leave is not called, and the round waits (WA, common
practice); where excused athletes may take trials one after another (US schools), it does not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from scoring.facts import FlightsMerged
from scoring.log import Turn
from scoring.state import NextTurn

REPLACEMENT = "replacement trial"
CONSECUTIVE = "consecutive trial"


class CallGroup(NamedTuple):
    """Athletes in one order who jump rounds `first` to `last` together; `flight` is 0 once flights are joined."""

    flight: int
    first: int
    last: int
    order: tuple[str, ...]


def flight_units(
    flights: Sequence[tuple[str, ...]], first: int, last: int, merges: Iterable[FlightsMerged]
) -> list[CallGroup]:
    """The units of the rounds before any re-ordering; merged flights are joined from their round on.

    The joint order comes where the last of these flights stood, so a flight that is not merged keeps its place.

    >>> flight_units([("a", "b"), ("c",)], 1, 3, [FlightsMerged(2, ("a", "b", "c"))])
    [CallGroup(flight=1, first=1, last=1, order=('a', 'b')), CallGroup(flight=2, first=1, last=1, order=('c',)), \
CallGroup(flight=1, first=2, last=3, order=('a', 'b', 'c'))]
    """
    units = [CallGroup(number, first, last, order) for number, order in enumerate(flights, 1)]
    for merge in merges:
        joined = set(merge.order)
        touched = [unit for unit in units if joined & set(unit.order) and unit.last >= merge.round]
        if not touched or not first <= merge.round <= last:
            continue
        # Whoever the order leaves out jumps last: nobody loses trials because a name was forgotten.
        left_out = dict.fromkeys(entry for unit in touched for entry in unit.order if entry not in joined)
        # Somebody who is in none of the flights may have come in by a later joining: its rounds are not jumped twice.
        starts = max(merge.round, min(unit.first for unit in touched))
        merged = CallGroup(min(unit.flight for unit in touched), starts, last, (*merge.order, *left_out))
        ordered = []
        for unit in units:
            if unit not in touched:
                ordered.append(unit)
            elif unit.first < merge.round:
                ordered.append(unit._replace(last=merge.round - 1))
            if unit is touched[-1]:
                ordered.append(merged)
        units = ordered
    return units


def open_turns(
    units: Iterable[CallGroup],
    open_turn: Callable[[str, int], Turn | None],
    is_away: Callable[[str], bool],
    closes: Callable[[str, int], bool] = lambda entry, round: False,
    in_a_row: Callable[[CallGroup], Mapping[str, int]] = lambda group: {},
) -> list[tuple[Turn, int]]:
    """(turn, flight) of every turn still to be taken, in call order; a round with somebody away is not passed.

    `open_turn` gives the turn that an entry still owes in a round, or None; `closes` says who jumps last in it;
    `in_a_row` says who of a group takes trials one after another, up to which round.
    """
    found: list[tuple[Turn, int]] = []
    for unit in units:
        own: list[Turn] = []
        for round in range(unit.first, unit.last + 1):
            owed = [turn for entry in unit.order if (turn := open_turn(entry, round)) is not None]
            owed.sort(key=lambda turn: closes(turn.entry, turn.round))
            own += owed
            if any(is_away(turn.entry) for turn in owed):
                break
        found += [(turn, unit.flight) for turn in _one_after_another(own, in_a_row(unit))]
    found.sort(key=lambda item: item[0].replacement == 0)
    return found


def _one_after_another(turns: Sequence[Turn], rows: Mapping[str, int]) -> list[Turn]:
    """`turns` with those of each entry in `rows`, up to its round there, straight behind its first one.

    >>> _one_after_another([Turn("a", 2), Turn("b", 3), Turn("a", 3), Turn("a", 4)], {"a": 3})
    [Turn(entry='a', round=2, replacement=0), Turn(entry='a', round=3, replacement=0), \
Turn(entry='b', round=3, replacement=0), Turn(entry='a', round=4, replacement=0)]
    """
    ordered: dict[Turn, None] = {}
    for turn in turns:
        if turn not in ordered:
            row = [own for own in turns if own.entry == turn.entry and own.round <= rows.get(turn.entry, 0)]
            ordered |= dict.fromkeys([turn, *(row if turn in row else ())])
    return list(ordered)


class SessionPart(NamedTuple):
    """The turns of an event's flight (0: all) in a session, and the block it jumps in.

    `further`: trials after the cut, when the flights are joined, are taken here. `moved`: flights of the event that go
    on in another session. `waits`: no later round is called while somebody is away in one.
    """

    block: int
    event: str
    flight: int
    turns: tuple[NextTurn, ...]
    further: bool = True
    moved: tuple[int, ...] = ()
    waits: bool = True


class SessionTurn(NamedTuple):
    """A turn in the call order of a pit session."""

    event: str
    turn: NextTurn


def session_turns(parts: Sequence[SessionPart]) -> list[SessionTurn]:
    """One call order for a pit session: blocks one after another, within a block round by round over its parts.

    Two age groups in one block jump as one list; after the cut one group follows the other in each round. Flights
    of one event in one part follow one another. A replacement trial comes before any other. While somebody of a block
    is away in a round, nobody of the block is called in a later one.

    >>> a = NextTurn(Turn("a", 2), 1); b = NextTurn(Turn("b", 1), 1)
    >>> [t.event for t in session_turns([SessionPart(1, "U14", 0, (a,)), SessionPart(1, "U16", 0, (b,))])]
    ['U16', 'U14']
    """
    keyed, waiting = [], []
    for position, part in enumerate(parts):
        own = [turn for turn in part.turns if _held_here(part, turn)]
        round = 0
        in_a_row = len({turn.flight for turn in own}) > 1
        for index, turn in enumerate(own):
            if turn.why != CONSECUTIVE:
                round = 0 if in_a_row else turn.turn.round
            order = (turn.turn.replacement == 0, part.block, round, position, index)
            keyed.append((order, SessionTurn(part.event, turn)))
            if part.waits:
                waiting.append(keyed[-1])
    keyed.sort(key=lambda pair: pair[0])
    waits = _rounds_that_wait(waiting)
    return [item for (_, block, round, *_), item in keyed if item.turn.flight == 0 or round <= waits.get(block, round)]


def _rounds_that_wait(keyed: Iterable[tuple[tuple[bool, int, int, int, int], SessionTurn]]) -> dict[int, int]:
    """For each block the first round that somebody away still owes: one list, so nobody in it goes past it."""
    waits: dict[int, int] = {}
    for (_, block, round, *_), item in keyed:
        if item.turn.away and item.turn.flight != 0:
            waits[block] = min(round, waits.get(block, round))
    return waits


def _held_here(part: SessionPart, turn: NextTurn) -> bool:
    if turn.flight == 0:
        return part.further
    return part.flight in (0, turn.flight) and turn.flight not in part.moved
