"""A session as each role may see it: what one of two records holds alone, and the log behind it, read once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from meets.models import PitSession, Role
from meets.pit.keys.roles import recorder_name
from meets.running.reads import SessionView, requeued, rows_of, rules_of, sand_cm_of, session_view, start_lines
from meets.running.trials import SECOND
from scoring.event import replay
from scoring.log import Row, Standing, Turn, standing
from scoring.marks import Unit
from scoring.records import alone, without_the_lone
from scoring.state import EventState


@dataclass(frozen=True, slots=True)
class Own:
    """`whole`: the session by everything that was written; `view`: by what the role may see, with its call order.

    `logs` by event: what stands of the rows behind `view`; `whole_logs` of all rows.
    """

    role: str
    whole: SessionView
    view: SessionView
    logs: Mapping[int, Standing]
    whole_logs: Mapping[int, Standing]

    @property
    def blind(self) -> bool:
        return self.role == Role.SECOND

    @property
    def record(self) -> str:
        """The record that this role writes, '' for one that writes none."""
        return recorder_name(Role(self.role))


def own_view(session: PitSession, role: str) -> Own:
    """The session for a role.

    The second recorder sees nothing of the first record. For the recorder a turn that only the second has written is
    still open; for everybody else it is taken.
    """
    whole = session_view(session)
    rows = {pk: rows_of(event) for pk, event in whole.events.items()}
    logs = {pk: standing(own) for pk, own in rows.items()}
    if role == Role.SECOND:
        seen: dict[int, Sequence[Row]] = {pk: alone(own, SECOND) for pk, own in rows.items()}
    elif role == Role.RECORDER:
        seen = {pk: without_the_lone(own, SECOND) for pk, own in rows.items()}
    else:
        seen = dict(rows)
    states = {pk: whole.states[pk] if len(seen[pk]) == len(rows[pk]) else _replayed(whole, pk, seen[pk]) for pk in rows}
    view = requeued(whole, states)
    seen_logs = {pk: logs[pk] if len(seen[pk]) == len(rows[pk]) else standing(seen[pk]) for pk in rows}
    own = Own(role, whole, view, seen_logs, logs)
    return _from_its_beginning(own) if own.blind else own


def _replayed(view: SessionView, event_id: int, rows: Sequence[Row]) -> EventState:
    event = view.events[event_id]
    return replay(
        start_lines(view.entries[event_id]),
        rows,
        rules_of(event),
        unit=Unit(event.meet.unit),
        sand_cm=sand_cm_of(event),
    )


def _from_its_beginning(own: Own) -> Own:
    """Without the turns of rounds that were over in the first record before the second one was begun."""
    begun = {pk: _begun(own, pk) for pk in own.view.events}

    def is_asked(event_id: int, turn: Turn) -> bool:
        return turn.round >= begun[event_id] or not own.whole_logs[event_id].heads.get(turn)

    queue = tuple(item for item in own.view.queue if is_asked(item.event_id, item.turn))
    view = SessionView(
        own.view.session, own.view.events, own.view.states, own.view.people, queue, own.view.held, own.view.entries
    )
    return Own(own.role, own.whole, view, own.logs, own.whole_logs)


def _begun(own: Own, event_id: int) -> int:
    """The round in which the record was begun; the one that is jumped now while nothing is written."""
    own_rounds = [turn.round for turn, heads in own.logs[event_id].heads.items() if heads]
    return min(own_rounds, default=own.whole.states[event_id].round)
