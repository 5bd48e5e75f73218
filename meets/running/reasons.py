"""A row that nobody writes without saying why."""

from datetime import datetime

from django.utils.translation import gettext as _

from meets.running.record import NewRow, Recorded, record
from meets.running.refusals import Refusal
from scoring.facts import Fact


def record_with_reason(event_id: int, fact: Fact, by: str, recorder: str, now: datetime, reason: str) -> Recorded:
    need_reason(reason)
    return record(event_id=event_id, facts=[NewRow(fact, reason)], by=by, recorder=recorder, now=now)


def need_reason(reason: str) -> None:
    """Raises Refusal."""
    if not reason.strip():
        raise Refusal(_("Please give the reason: it is kept with the decision."))
