"""Which codes a meet needs: what is offered for each session, and what is proposed of it."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from meets.desk.phones.reads import open_codes
from meets.models import Meet, PitSession, Role
from meets.running.states import states_of

NO_GAUGE = ("", "none", "no", "-", "–")


@dataclass(frozen=True, slots=True)
class Usual:
    """A code as most crews want it. `proposed`: ticked from the start."""

    name: str
    title: Promise
    roles: tuple[str, ...]
    proposed: bool = True


USUAL = (
    Usual("recorder", _("Recorder"), (Role.RECORDER,)),
    Usual("second", _("Second recorder"), (Role.SECOND,)),
    Usual("gauge", _("Wind gauge"), (Role.GAUGE,)),
    Usual("referee", _("Referee"), (Role.REFEREE,)),
    Usual("recorder_gauge", _("Recorder and gauge"), (Role.RECORDER, Role.GAUGE), proposed=False),
    Usual("alone", _("All in one"), (Role.RECORDER, Role.GAUGE, Role.REFEREE), proposed=False),
    Usual("display", _("Display"), (Role.DISPLAY,), proposed=False),
)


@dataclass(frozen=True, slots=True)
class Offer:
    """A session and the codes that may be made for it: those proposed, those that exist already.

    `gauge`: whether the pit has a wind gauge. `over`: all its events are closed.
    """

    session: PitSession
    proposed: frozenset[str]
    made: frozenset[str]
    over: bool
    gauge: bool


def offers_of(meet: Meet) -> list[Offer]:
    """Every session in the order of the day; what exists already and what is over is not proposed again."""
    sessions = PitSession.objects.filter(pit__meet=meet).select_related("pit")
    open_now = open_codes(meet)
    over: dict[int, list[bool]] = {}
    for now in states_of(meet):
        for part in now.parts:
            over.setdefault(part.session_id, []).append(now.state.stage.is_over)
    return [_offer(session, open_now, over) for session in sessions.order_by("starts_at", "pit__name", "pk")]


def _offer(session: PitSession, open_now: set, over: dict[int, list[bool]]) -> Offer:
    made = frozenset(one.name for one in USUAL if (session.pk, None, frozenset(one.roles)) in open_now)
    is_over = bool(over.get(session.pk)) and all(over[session.pk])
    has_gauge = session.pit.gauge.strip().casefold() not in NO_GAUGE
    proposed = {one.name for one in USUAL if one.proposed and (has_gauge or one.name != "gauge")}
    # A crew that has a code for several roles needs none for each of them.
    covered = {role for key in open_now if key[0] == session.pk for role in key[2]}
    needed = {one.name for one in USUAL if one.name in proposed and not set(one.roles) <= covered}
    return Offer(session, frozenset() if is_over else frozenset(needed), made, is_over, has_gauge)
