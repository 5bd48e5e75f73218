"""Putting a turn right, as long as it still stands as the official saw it."""

from collections.abc import Callable, Collection
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Event
from meets.pit.draft import Draft, Step, step_of
from meets.pit.written import written
from meets.running import actions
from meets.running.actions import PIT, Overtaken, Recorded, Refusal
from meets.running.reads import state_of
from meets.running.record import locked
from meets.running.trials import find_turn
from scoring.log import Turn
from scoring.marks import Unit


@transaction.atomic
def put_right(
    action: Callable[..., Recorded], *, event_id: int, turn: Turn, seen: Collection[str], **said: object
) -> Recorded:
    """Do it if the rows of the trial and of its wind are still those that were `seen`; else raises Overtaken."""
    event = locked(event_id)
    found = find_turn(state_of(event), turn)
    stands = {*found.rows, *found.wind_rows} if found else set()
    if stands != set(seen):
        if found is None or found.trial is None:
            raise Overtaken(_("Somebody has taken this trial back in the meantime: nothing stands now. Look again."))
        shown = written(turn, found.trial, Unit(event.meet.unit))
        says = _(
            "Somebody has put this trial right in the meantime: now %(now)s stands. Look at it again, then decide."
        )
        raise Overtaken(says % {"now": f"{shown.text} {shown.wind}".strip()})
    return action(event_id=event_id, turn=turn, **said)


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
