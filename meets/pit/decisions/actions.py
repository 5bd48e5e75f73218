"""Decisions that hold for a whole session: every event of it, or none."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Event, PitSession
from meets.pit.sync.reads import close_out
from meets.running import actions
from meets.running.actions import PIT, NewRow, Overtaken, Recorded, Refusal, record
from meets.running.reads import rules_of, state_of
from meets.running.record import locked
from meets.running.sessions import events_of, held_by
from scoring.boards import board_measures_up
from scoring.facts import BoardChecked, ReadinessSigned
from scoring.log import Turn
from scoring.state import Stage


def _events(session: PitSession) -> list[Event]:
    """Events of which the session holds a flight now, and that are not over."""
    known = events_of(session)
    states = {event.pk: state_of(event) for event in known}
    here = {held.event_id for held in held_by(session, known, states)}
    found = [event for event in known if event.pk in here and not states[event.pk].stage.is_over]
    return sorted(found, key=lambda event: event.pk)


def boards_off(session: PitSession, measured: Mapping[int, int]) -> list[str]:
    """A sentence for every board (cm) whose measured distance is not its own."""
    events = _events(session)
    tolerance = min((rules_of(event).board_tolerance_cm for event in events), default=0)
    says = _("The board at %(board)s m was measured as %(measured)s m. Is the tape hooked right? Measure again.")
    return [
        says % {"board": f"{board / 100:.2f}", "measured": f"{found / 100:.2f}"}
        for board, found in measured.items()
        if not board_measures_up(board, found, tolerance)
    ]


@transaction.atomic
def sign_ready(
    *, session: PitSession, measured: Mapping[int, int], sign: bool, by: str, recorder: str, now: datetime
) -> None:
    """Boards as measured and, with `sign`, sand, runway and rakes in order, for every event of the session."""
    facts = [NewRow(BoardChecked(board, found)) for board, found in measured.items()]
    if sign:
        facts.insert(0, NewRow(ReadinessSigned()))
    if not facts:
        raise Refusal(_("Type the measured distances, or sign that everything is ready."))
    for event in _events(session):
        record(event_id=event.pk, facts=facts, by=by, recorder=recorder, now=now)


@transaction.atomic
def stop(*, session: PitSession, by: str, now: datetime, reason: str) -> None:
    """Anybody at the pit may stop it; nobody jumps until it goes on."""
    for event in _events(session):
        if state_of(event).stage is not Stage.SUSPENDED:
            actions.suspend(event_id=event.pk, by=by, recorder=PIT, now=now, reason=reason, safety=True)


@transaction.atomic
def go_on(*, session: PitSession, by: str, now: datetime) -> None:
    for event in _events(session):
        if state_of(event).stage is Stage.SUSPENDED:
            actions.resume(event_id=event.pk, by=by, recorder=PIT, now=now)


@transaction.atomic
def no_gauge(*, session: PitSession, by: str, now: datetime, reason: str, again: bool) -> None:
    for event in _events(session):
        if state_of(event).no_gauge is again:
            actions.no_gauge(event_id=event.pk, by=by, recorder=PIT, now=now, reason=reason, again=again)


@transaction.atomic
def fill_winds(*, winds: Mapping[tuple[int, Turn], str], by: str, now: datetime) -> int:
    """Readings that were owed, all or none; how many. Raises Overtaken if somebody has read one in the meantime."""
    for (event_id, turn), wind in winds.items():
        if turn not in state_of(locked(event_id)).owed_winds:
            raise Overtaken(_("Somebody has filled in a wind in the meantime. Look at the page again."))
        actions.record_wind(event_id=event_id, turn=turn, wind=wind, by=by, recorder=PIT, now=now)
    return len(winds)


@transaction.atomic
def close(*, event_id: int, by: str, recorder: str, now: datetime, reason: str = "") -> Recorded:
    """Sign and close an event. Refused while something that phones hold for it is not here, unless a reason is given.

    The reason stays with the row that closes the event.
    """
    proof = close_out(locked(event_id))
    if not proof.ok and not reason.strip():
        says = _("Not everything is here: %(what)s To close all the same, give the reason.")
        raise Refusal(says % {"what": " ".join(proof.says)})
    return actions.close(event_id=event_id, by=by, recorder=recorder, now=now, reason=reason)
