"""The marks of an event that beat or equal a record, claims or not, from its state as it stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from meets.models import Entry, Event, Meet, RecordBook
from meets.records.books import bars_before
from meets.running.states import rows_of_all
from scoring.claims import Bar, Found, Jump, claims_among, may_reach
from scoring.log import Row, Turn, standing
from scoring.marks import Unit
from scoring.state import EntryState, EventState, TurnState
from scoring.wind import Wind, wind_status


@dataclass(frozen=True, slots=True)
class Candidate:
    """A mark that is long enough for a book, with its wind (None: owed) and what had to be beaten before the event."""

    book: RecordBook
    bar: Bar
    found: Found
    wind: Wind | None

    @property
    def entry(self) -> str:
        return self.found.jump.turn.entry

    @property
    def turn(self) -> str:
        return turn_key(self.found.jump.turn)


def turn_key(turn: Turn) -> str:
    return f"{turn.entry}-{turn.round}-{turn.replacement}"


def candidates_of(event: Event, state: EventState, entries: Sequence[Entry]) -> list[Candidate]:
    """In the order of the books, in each in the order in which they were jumped."""
    return candidates_in(event.meet, [(event, state, entries)])[event.pk]


def candidates_in(meet: Meet, seen: Sequence[tuple[Event, EventState, Sequence[Entry]]]) -> dict[int, list[Candidate]]:
    """The same for several events of a meet, by their ids, in a number of queries that does not grow with them."""
    bars = bars_before(meet, [event for event, _state, _entries in seen])
    unit = Unit(meet.unit)
    jumped, winds = {}, {}
    for event, state, _entries in seen:
        jumps, winds[event.pk] = _jumps(state)
        own = bars[event.pk].values()
        jumped[event.pk] = [jump for jump in jumps if any(may_reach(jump.mark, unit, bar) for bar in own)]
    logs = rows_of_all([pk for pk, jumps in jumped.items() if len(jumps) > 1])
    found = {}
    for event, state, entries in seen:
        jumps = jumped[event.pk]
        ordered = _in_order_of_time(jumps, logs[event.pk], state) if event.pk in logs else jumps
        found[event.pk] = _candidates(ordered, bars[event.pk], winds[event.pk], state, entries, unit)
    return found


def _candidates(
    jumps: Sequence[Jump],
    bars: Mapping[RecordBook, Bar],
    winds: Mapping[Turn, Wind | None],
    state: EventState,
    entries: Sequence[Entry],
    unit: Unit,
) -> list[Candidate]:
    schools = {str(entry.pk): entry.athlete.school_id for entry in entries}
    return [
        Candidate(book, bar, found, winds[found.jump.turn])
        for book, bar in bars.items()
        for found in claims_among(
            [jump for jump in jumps if book.school_id in (None, schools.get(jump.turn.entry))], bar, state.rules, unit
        )
    ]


def _jumps(state: EventState) -> tuple[list[Jump], dict[Turn, Wind | None]]:
    """Every valid mark that counts, and its wind. Who is on the list only pending jumps as a guest."""
    jumps, winds = [], {}
    for entry in state.entries:
        for turn in entry.turns if entry.status != "DQ" else ():
            mark = turn.trial.valid_mark if turn.trial is not None and turn.counts else None
            if mark is not None:
                wind = turn.trial.wind
                status = wind_status(wind, state.rules.wind_limit_tenths)
                guest = entry.guest or entry.pending
                jumps.append(Jump(turn.turn, mark, status, guest, _is_settled(state, entry, turn)))
                winds[turn.turn] = wind
    return jumps, winds


def _is_settled(state: EventState, entry: EntryState, turn: TurnState) -> bool:
    """No difference between recorders, no open protest about the turn, the athlete or the event."""
    own = {("", 0), (entry.line.entry, 0), (entry.line.entry, turn.turn.round)}
    about = any(protest.upheld is None and (protest.entry, protest.round) in own for protest in state.protests)
    return not (turn.disputed or turn.wind_disputed or turn.held or entry.pending or about)


def _in_order_of_time(jumps: Sequence[Jump], written_rows: Sequence[Row], state: EventState) -> list[Jump]:
    """By when each was first written down; a correction does not move it."""
    log = standing(written_rows)
    rows = {turn.turn: turn.rows for entry in state.entries for turn in entry.turns}

    def written(jump: Jump) -> int:
        return min((log.first_rev(log.by_id[row]) for row in rows[jump.turn] if row in log.by_id), default=0)

    return sorted(jumps, key=written)
