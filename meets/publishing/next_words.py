"""What comes next in the life of a result, in a sentence, from what is known without working it out anew."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.models import Publication
from meets.publishing.moved_on import has_moved_on
from meets.publishing.status import PROVISIONAL, appeals_until, open_in, why_open
from meets.running.times import moment_said
from scoring.state import EventState

LONG_MINUTES = 90


@dataclass(frozen=True, slots=True)
class Next:
    """`doing`: what the button that leads to its page says. `urgent`: people wait for it.

    `version`: the newest that is published, 0 for none.
    """

    says: str
    doing: str
    urgent: bool = False
    version: int = 0


def what_next(state: EventState, newest: Publication | None, now: datetime, zone: str) -> Next:
    if newest is None:
        return _before_the_first(state)
    about = {"word": newest.get_status_display(), "version": newest.version, "time": moment_said(newest.at, now, zone)}
    said = _("Published as version %(version)d (%(word)s), %(time)s.") % about

    def following(says: str, doing: str, *, urgent: bool = False) -> Next:
        return Next(says, doing, urgent, newest.version)

    if not state.stage.is_over:
        return following(f"{said} {_('The event is not over any more.')}", _("Look at it"), urgent=True)
    if has_moved_on(newest, state):
        says = _("Recorded since version %(version)d (%(word)s): publish it again.")
        return following(says % about, _("Publish it again"), urgent=True)
    if newest.status != PROVISIONAL:
        return following(said, _("Look"))
    left = open_in(state)
    if left:
        return following(f"{said} {why_open(left)}", _("Look at it"), urgent=True)
    protests, appeals = newest.protests_until or now, appeals_until(state) or now
    if now < max(protests, appeals):
        clock = countdown(protests, now, zone) if appeals <= protests else appeals_countdown(appeals, now, zone)
        return following(f"{said} {clock}", _("Look"))
    says = f"{said} {_('The time for protests is over: it can be official.')}"
    return following(says, _("Make it official"), urgent=True)


def _before_the_first(state: EventState) -> Next:
    if not state.stage.is_over:
        return Next(_("Not over yet."), _("Look"))
    return Next(_("Over; the result is not published."), _("Publish it"), urgent=True)


def countdown(until: datetime, now: datetime, zone: str) -> str:
    """Until when protests are taken, and how long that is: `Protests until 14:52, 21 minutes left.`"""
    return _("Protests until %(time)s, %(left)s.") % _clock(until, now, zone)


def appeals_countdown(until: datetime, now: datetime, zone: str) -> str:
    """The same for appeals against a decision that was taken after the result was posted."""
    return _("Appeals against the referee's decision until %(time)s, %(left)s.") % _clock(until, now, zone)


def _clock(until: datetime, now: datetime, zone: str) -> dict[str, str]:
    minutes = -(-(until - now) // timedelta(minutes=1))
    if minutes > LONG_MINUTES:
        left = _("%(hours)d h %(minutes)d min left") % {"hours": minutes // 60, "minutes": minutes % 60}
    else:
        left = ngettext("%(n)d minute left", "%(n)d minutes left", minutes) % {"n": minutes}
    return {"time": moment_said(until, now, zone), "left": left}
