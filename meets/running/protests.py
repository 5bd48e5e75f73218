"""Protests: lodged about a turn or the event, and decided. Each has its own name in the event."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext as _

from meets.running.reads import state_of
from meets.running.record import NewRow, Recorded, locked, record
from meets.running.refusals import Refusal
from scoring.facts import AppealDecided, AppealLodged, ProtestDecided, ProtestLodged
from scoring.log import Turn
from scoring.state import EventState, Protest


@transaction.atomic
def lodge_protest(
    *, event_id: int, name: str, entry: str = "", turn: Turn | None = None, who: str, by: str, recorder: str,
    now: datetime, reason: str,
) -> Recorded:  # fmt: skip
    """A protest against a turn, or the event; `who` lodges it. A `name` that is taken already gets a number."""
    free = free_name(name, state_of(locked(event_id)))
    fact = ProtestLodged(free, *(turn or Turn(entry, 0)), by=who)
    return record(event_id=event_id, facts=[NewRow(fact, reason)], by=by, recorder=recorder, now=now)


@transaction.atomic
def decide_protest(
    *, event_id: int, name: str, upheld: bool, by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """The referee's decision on a protest, with its reason; a trial measured under it counts once upheld.

    A later decision on the same protest takes the place of the earlier one.
    """
    if not reason.strip():
        raise Refusal(_("A decision needs its reason."))
    if name not in {protest.protest for protest in state_of(locked(event_id)).protests}:
        raise Refusal(_("There is no such protest in this event."))
    fact = NewRow(ProtestDecided(name, upheld), reason)
    return record(event_id=event_id, facts=[fact], by=by, recorder=recorder, now=now)


@transaction.atomic
def lodge_appeal(
    *, event_id: int, name: str, who: str, by: str, recorder: str, now: datetime, reason: str, late: bool = False
) -> Recorded:
    """An appeal to the jury against the decision on a protest, within the rule set's minutes of that decision.

    `late`: the jury takes it although that time is over.
    """
    state = state_of(locked(event_id))
    protest = _named(state, name)
    if protest.upheld is None:
        raise Refusal(_("The referee has not decided this protest yet: an appeal is against the decision."))
    if protest.appeal is not None and not protest.appeal.decided:
        raise Refusal(_("An appeal about this protest is open already."))
    until = appeal_until(protest, state.rules.protest_minutes)
    if until is not None and now > until and not late:
        says = _("The time for an appeal is over since %(minutes)d min. Say so if the jury takes it all the same.")
        raise Refusal(says % {"minutes": (now - until) // timedelta(minutes=1)})
    fact = NewRow(AppealLodged(name, by=who), reason)
    return record(event_id=event_id, facts=[fact], by=by, recorder=recorder, now=now)


@transaction.atomic
def decide_appeal(
    *, event_id: int, name: str, upheld: bool, by: str, recorder: str, now: datetime, reason: str
) -> Recorded:
    """The jury's decision: whether the protest itself is upheld in the end. Nothing comes after it."""
    if not reason.strip():
        raise Refusal(_("A decision needs its reason."))
    protest = _named(state_of(locked(event_id)), name)
    if protest.appeal is None or protest.appeal.decided:
        raise Refusal(_("No appeal about this protest is open."))
    fact = NewRow(AppealDecided(name, upheld), reason)
    return record(event_id=event_id, facts=[fact], by=by, recorder=recorder, now=now)


def appeal_until(protest: Protest, minutes: int) -> datetime | None:
    """Until when the decision on a protest may be appealed against; None while there is none, or after the jury's."""
    if protest.decided_at is None or protest.appeal is not None:
        return None
    return protest.decided_at + timedelta(minutes=minutes)


def _named(state: EventState, name: str) -> Protest:
    found = [protest for protest in state.protests if protest.protest == name]
    if not found:
        raise Refusal(_("There is no such protest in this event."))
    return found[-1]


def oral_protest(state: EventState, turn: Turn) -> list[NewRow]:
    """The row of a protest made at once at the pit; none if one about this turn is waiting already."""
    if any((p.entry, p.round, p.replacement) == turn and p.upheld is None for p in state.protests):
        return []
    name = free_name(f"{turn.entry}-{turn.round}-{turn.replacement}", state)
    return [NewRow(ProtestLodged(name, *turn), reason=_("immediate oral protest"))]


def free_name(name: str, state: EventState) -> str:
    """A decision goes by the name of its protest, so no two have the same."""
    taken = {protest.protest for protest in state.protests}
    wanted, number = name.strip() or _("protest"), 1
    free = wanted
    while free in taken:
        number += 1
        free = f"{wanted} ({number})"
    return free
