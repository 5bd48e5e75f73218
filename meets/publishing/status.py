"""Which status a result may be given now, and if none, why not. Asks no clock and no database: `now` is handed in."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.models import Publication
from meets.running.protests import appeal_until
from meets.running.times import moment_said
from scoring.log import Turn
from scoring.state import EventState
from scoring.wind import WindStatus

PROVISIONAL, OFFICIAL, AMENDED = Publication.Status.PROVISIONAL, Publication.Status.OFFICIAL, Publication.Status.AMENDED


@dataclass(frozen=True, slots=True)
class Open:
    """What is not settled in an event and keeps its result from being official: how many of each."""

    protests: int = 0
    appeals: int = 0
    disputes: int = 0
    winds: int = 0
    pending: int = 0

    def __bool__(self) -> bool:
        return any((self.protests, self.appeals, self.disputes, self.winds, self.pending))


@dataclass(frozen=True, slots=True)
class Before:
    """The version that stands. `changed`: the event is no longer as in it; `matters`: somebody may protest at that."""

    version: int
    status: str
    protests_until: datetime | None
    changed: bool = False
    matters: bool = False


def open_in(state: EventState) -> Open:
    """What keeps the result of this event from being official."""
    return Open(
        protests=sum(protest.upheld is None for protest in state.protests),
        appeals=sum(protest.upheld is not None and protest.is_open for protest in state.protests),
        disputes=len(state.disputes),
        winds=len(winds_that_matter(state)),
        pending=sum(entry.pending for entry in state.entries),
    )


def appeals_until(state: EventState) -> datetime | None:
    """Until when the last decision on a protest may be appealed against; None if none may."""
    times = (appeal_until(protest, state.rules.protest_minutes) for protest in state.protests)
    return max((time for time in times if time is not None), default=None)


def winds_that_matter(state: EventState) -> tuple[Turn, ...]:
    """Winds still owed with which a mark could be the best legal one: places never hang on a wind."""
    owed = set(state.owed_winds)
    found = []
    for entry in state.entries:
        legal = entry.series.best_with({WindStatus.LEGAL}) or 0
        for turn in entry.turns:
            trial = turn.trial
            if turn.turn in owed and trial is not None and (trial.valid_mark or trial.mark or 0) > legal:
                found.append(turn.turn)
    return tuple(found)


def may_publish(
    wanted: str,
    *,
    over: bool,
    before: Before | None,
    left: Open,
    now: datetime,
    reason: str = "",
    referee: str = "",
    appeals_until: datetime | None = None,
    zone: str = "UTC",
) -> str:
    """Why the result may not be published with this status now, as a sentence; '' if it may.

    `referee`: the name of the referee who says that it is official before the time for protests is over.
    """
    if not over:
        return _("The event is not over: a result is published once the last trial is taken or the sheet is signed.")
    says = {PROVISIONAL: _provisional, OFFICIAL: _official, AMENDED: _amended}[Publication.Status(wanted)]
    refused = says(before, reason)
    if refused or wanted == PROVISIONAL:
        return refused
    if left:
        return why_open(left)
    return _too_early(before, now, referee, appeals_until, zone) if wanted == OFFICIAL else ""


def _provisional(before: Before | None, reason: str) -> str:
    if before is None:
        return ""
    if before.status != PROVISIONAL:
        return _("This result is official already: what changes now is published as amended, with its reason.")
    if not before.changed:
        return _("Nothing has changed since version %(version)d.") % {"version": before.version}
    return "" if reason.strip() else _("A new version of a result needs its reason.")


def _official(before: Before | None, reason: str) -> str:
    if before is None:
        return _("Publish it as provisional first: the time for protests starts then.")
    if before.status != PROVISIONAL:
        return _("This result is official already: what changes now is published as amended, with its reason.")
    if before.matters:
        return _(
            "The result has changed since version %(version)d was posted. Publish it as provisional again, "
            "with the reason: a new time for protests starts."
        ) % {"version": before.version}
    return ""


def _amended(before: Before | None, reason: str) -> str:
    if before is None or before.status == PROVISIONAL:
        return _("Only an official result is amended. This one is not official yet: publish it as provisional again.")
    if not before.changed:
        return _("Nothing has changed since version %(version)d.") % {"version": before.version}
    return "" if reason.strip() else _("An amended result needs its reason.")


def why_open(left: Open) -> str:
    """What must be settled first, the weightiest first."""
    for count, words in (
        (
            left.disputes,
            lambda n: ngettext("The recorders differ on %(n)d trial.", "The recorders differ on %(n)d trials.", n),
        ),
        (left.protests, lambda n: ngettext("%(n)d protest is open.", "%(n)d protests are open.", n)),
        (left.appeals, lambda n: ngettext("%(n)d appeal is open.", "%(n)d appeals are open.", n)),
        (
            left.pending,
            lambda n: ngettext(
                "%(n)d athlete was added at the pit and is not confirmed by the desk.",
                "%(n)d athletes were added at the pit and are not confirmed by the desk.",
                n,
            ),
        ),
        (
            left.winds,
            lambda n: ngettext(
                "%(n)d wind is owed with which a mark may be a best or a record.",
                "%(n)d winds are owed with which a mark may be a best or a record.",
                n,
            ),
        ),
    ):
        if count:
            return " ".join((words(count) % {"n": count}, _("The result stays provisional until that is settled.")))
    return ""


def _too_early(before: Before | None, now: datetime, referee: str, appeals_until: datetime | None, zone: str) -> str:
    if referee.strip():
        return ""
    until = before.protests_until if before else None
    if until and now < until:
        says = _("Protests are taken until %(time)s. Before that it is official only if the referee says so, by name.")
        return says % {"time": moment_said(until, now, zone)}
    if appeals_until and now < appeals_until:
        says = _("An appeal may come until %(time)s. Before that it is official only if the referee says so, by name.")
        return says % {"time": moment_said(appeals_until, now, zone)}
    return ""


def protest_period_ends(posted: datetime, minutes: int) -> datetime:
    return posted + timedelta(minutes=minutes)
