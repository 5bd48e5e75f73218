"""Recording what the screen has asked for."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.pit.draft import Draft
from meets.running import actions
from meets.running.actions import PIT, Outcome
from meets.running.reads import state_of
from meets.running.record import locked
from meets.running.trials import TrialAsked, TypedTrial, find_turn, read_trial
from scoring.log import Turn
from scoring.marks import Unit
from scoring.trials import Trial


@transaction.atomic
def record_draft(
    *,
    event_id: int,
    turn: Turn,
    draft: Draft,
    board_cm: int | None,
    by: str,
    now: datetime,
    answered: bool = False,
    picked: bool = False,
) -> Outcome:
    """Record a trial that was read back. Asks first about what looks like a slip, and before the sand is signed off.

    `picked`: the bib was chosen by hand, so the order of calling is no question. The same trial sent twice (a double
    tap, a page sent again) is recorded once.
    """
    event = locked(event_id)
    unit, state = Unit(event.meet.unit), state_of(event)
    text = draft.trial(unit)
    standing = find_turn(state, turn)
    if standing is not None and standing.trial is not None:
        sent = read_trial(TypedTrial(turn, text, draft.wind, draft.reason, None, bool(draft.protest)), unit)
        if _says_the_same(sent, standing.trial):
            return Outcome(True, version=state.version)
    if not answered and not state.ready and not any(entry.turns for entry in state.entries):
        says = _("Nobody may jump yet: the sand has not been signed off. Record this trial all the same?")
        return Outcome(False, (TrialAsked("not ready", says, None),))
    return actions.record_trial(
        event_id=event_id,
        turn=turn,
        trial=text,
        wind=draft.wind,
        reason=draft.reason,
        board_cm=board_cm if draft.measured else None,
        under_protest=bool(draft.protest),
        by=by,
        recorder=PIT,
        now=now,
        answered=answered,
        in_call_order=not picked,
    )


def _says_the_same(sent: Trial, stands: Trial) -> bool:
    """A wind that was not sent is no other wind: it may have been read since."""
    same = (sent.result, sent.mark, sent.reason, sent.under_protest)
    return same == (stands.result, stands.mark, stands.reason, stands.under_protest) and (
        sent.wind is None or sent.wind == stands.wind
    )
