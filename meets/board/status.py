"""How far an event is, for everybody, in a few words: what happens at the pit, and what is published of it."""

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone
from django.utils.translation import gettext as _

from meets.models import Event, Publication
from scoring.state import EventState, Stage

# How the word is drawn: what is going on now in the sand, what is done in its own way, what is to come quietly.
NOW, QUIET = "now", "quiet"
# Milliseconds between two looks of a browser: while trials are to be expected, when they may begin or be corrected
# soon, and else. See `answering` for how they add up to less than two seconds.
PACE_GOING, PACE_SOON, PACE_QUIET = 1200, 5000, 15000


@dataclass(frozen=True, slots=True)
class Status:
    """`word` stands in a box; `more` is the sentence beside it."""

    word: str
    look: str
    more: str
    pace_ms: int = PACE_QUIET
    published: str = ""

    @property
    def going(self) -> bool:
        """Whether trials are to be expected now."""
        return self.pace_ms == PACE_GOING


def status_of(event: Event, state: EventState, newest: Publication | None) -> Status:
    """By what is published, else by what happens at the pit."""
    if newest is not None and state.stage.is_over:
        return _published(newest)
    stage = state.stage
    if stage in (Stage.NOT_DRAWN, Stage.DRAWN):
        more = _("starts at %(time)s") % {"time": _clock(event.starts_at)} if event.starts_at else ""
        return Status(_("not begun"), QUIET, more, _pace_before(state))
    if stage is Stage.SUSPENDED:
        return Status(_("suspended"), NOW, _("The officials say when it goes on."), PACE_GOING)
    if stage is Stage.IN_PROGRESS:
        return Status(_("in progress"), NOW, _where(state), PACE_GOING)
    word = _("abandoned") if stage is Stage.ABANDONED else _("all trials taken")
    return Status(word, QUIET, _("The result is not published yet."), PACE_SOON)


def _pace_before(state: EventState) -> int:
    """Who is at the pit already may jump at any moment."""
    if state.stage is Stage.NOT_DRAWN:
        return PACE_QUIET
    here = state.ready or any(entry.checked_in for entry in state.entries)
    return PACE_GOING if here else PACE_SOON


def _published(newest: Publication) -> Status:
    more = _("version %(version)d, %(time)s") % {"version": newest.version, "time": _clock(newest.at)}
    if newest.status == Publication.Status.PROVISIONAL and newest.protests_until:
        more = _("protests until %(time)s") % {"time": _clock(newest.protests_until)}
    word = str(Publication.Status(newest.status).label)
    return Status(word, str(newest.status), more, published=str(newest.status))


def _where(state: EventState) -> str:
    if state.trials_proposal is not None:
        return _("round 1 is over")
    if state.cut_proposal is not None:
        return _("round %(round)d is over: the officials take the cut") % {"round": state.cut_proposal.after_round}
    if state.order_proposal is not None:
        return _("the order of round %(round)d is being called") % {"round": state.order_proposal.round}
    return _("round %(round)d of %(rounds)d") % {"round": state.round, "rounds": state.rounds}


def _clock(at: datetime) -> str:
    """The time of day at the meet: its zone is set around every page."""
    return f"{timezone.localtime(at):%H:%M}"
