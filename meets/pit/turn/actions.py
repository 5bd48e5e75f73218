from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Event
from meets.pit.draft import Draft, Step, step_of
from meets.running import actions
from meets.running.actions import PIT, Recorded, Refusal
from meets.running.reads import state_of
from scoring.log import Turn
from scoring.marks import Unit


@transaction.atomic
def correct(*, event_id: int, turn: Turn, draft: Draft, unit: Unit, by: str, now: datetime, reason: str) -> Recorded:
    """Replace what stands for a turn by a draft. A wind that is not answered stays as it is."""
    if wrong := draft.mark_wrong(unit) or draft.wind_wrong():
        raise Refusal(wrong)
    step = step_of(draft, unit, gauge=False)
    if step is Step.WIND:
        raise Refusal(_("Press + or − as well, unless it is 0.0."))
    if step is not Step.CONFIRM:
        raise Refusal(_("Choose the flag, and for a measured trial type the distance."))
    under_protest = bool(draft.protest) and draft.measured
    corrected = actions.correct_trial(
        event_id=event_id,
        turn=turn,
        trial=draft.trial(unit),
        wind=draft.wind if draft.sign or draft.tenths else None,
        fail_reason=draft.reason,
        under_protest=under_protest,
        by=by,
        recorder=PIT,
        now=now,
        reason=reason,
    )
    event = Event.objects.select_related("meet").get(pk=event_id)
    name = f"{turn.entry}-{turn.round}-{turn.replacement}"
    if under_protest and name not in [protest.protest for protest in state_of(event).protests]:
        actions.lodge_protest(
            event_id=event_id, name=name, turn=turn, who="", by=by, recorder=PIT, now=now, reason=reason
        )  # fmt: skip
    return corrected
