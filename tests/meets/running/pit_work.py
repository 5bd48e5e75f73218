"""What tests of a day at the pit share: who writes, and a jump of whoever is up."""

from datetime import UTC, datetime

from meets.running import actions
from meets.running.actions import DESK, PIT
from meets.running.reads import state_of

NOW = datetime(2027, 6, 12, 10, 0, tzinfo=UTC)
DESK_BY = {"by": "Organiser", "recorder": DESK, "now": NOW}
PIT_BY = {"by": "Recorder", "recorder": PIT, "now": NOW}


def jump(event, mark, wind="+0.3"):
    """Whoever is up jumps; the turn."""
    turn = state_of(event).callable[0].turn
    actions.record_trial(event_id=event.pk, turn=turn, trial=mark, wind=wind, answered=True, **PIT_BY)
    return turn
