"""Absence at a turn, and boards that should be looked at twice."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Event
from meets.running import actions
from meets.running.actions import PIT, Outcome, Refusal
from meets.running.reach import reach_doubt
from meets.running.reads import entries_of, state_of
from scoring.log import Turn
from scoring.trials import FailReason


@transaction.atomic
def write_absent(*, event_id: int, turn: Turn | None, by: str, now: datetime) -> Outcome:
    """The turn of somebody absent without leave is written as the rule set says."""
    if turn is None:
        raise Refusal(_("This athlete has no turn now."))
    event = Event.objects.select_related("meet").get(pk=event_id)
    sign = state_of(event).rules.absent_without_leave
    return actions.record_trial(
        event_id=event_id,
        turn=turn,
        trial=sign,
        reason=FailReason.ABSENT if sign == "x" else "",
        by=by,
        recorder=PIT,
        now=now,
        answered=True,
    )


def doubt_about(event: Event, entry: str, board_cm: int) -> str:
    """What should be looked at before this athlete jumps from this board; '' if nothing."""
    found = next((one for one in entries_of(event) if str(one.pk) == entry), None)
    return reach_doubt(event, found, board_cm) if found else ""
