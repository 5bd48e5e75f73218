"""The trial clock of a session, set by whoever starts it and shown on other screens. No part of the log."""

from dataclasses import dataclass
from datetime import UTC, datetime

from meets.models import PitClock, PitSession
from meets.pit.problems import NotUnderstood
from meets.pit.sync.message import read_object
from meets.pit.written import turn_from
from meets.running.write_lock import one_writer

LONGEST_TURN = 40
MOST_SECONDS = 3600


@dataclass(frozen=True, slots=True)
class ClockSet:
    """`started_at` None: not running."""

    turn: str
    started_at: datetime | None
    seconds: int


def read_clock(text: str) -> ClockSet:
    """Raises NotUnderstood."""
    said = read_object(text)[0]
    turn, started, seconds = said.get("turn"), said.get("started"), said.get("seconds")
    if not isinstance(turn, str) or len(turn) > LONGEST_TURN or turn_from(turn) is None:
        raise NotUnderstood("turn", "a turn, as entry, round and replacement joined by -")
    if started is not None and type(started) is not int:
        raise NotUnderstood("started", "a whole number of milliseconds since 1970, or null")
    if type(seconds) is not int or not 1 <= seconds <= MOST_SECONDS:
        raise NotUnderstood("seconds", f"a whole number from 1 to {MOST_SECONDS}")
    try:
        started_at = None if started is None else datetime.fromtimestamp(started / 1000, UTC)
    except (OverflowError, ValueError, OSError) as problem:
        raise NotUnderstood("started", "a time of this meet") from problem
    return ClockSet(turn, started_at, seconds)


def set_clock(*, session: PitSession, clock: ClockSet) -> None:
    said = {"turn": clock.turn, "started_at": clock.started_at, "seconds": clock.seconds}
    with one_writer():
        PitClock.objects.update_or_create(session=session, defaults=said)
