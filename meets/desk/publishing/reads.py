"""What the desk's pages of publishing show."""

import json
from dataclasses import dataclass, replace
from datetime import datetime

from django.utils.translation import gettext as _

from meets.models import Event, Meet, Publication
from meets.publishing.change_words import in_sentences
from meets.publishing.next_words import Next, what_next
from meets.publishing.reads import latest
from meets.publishing.shown_now import naming_more
from meets.publishing.standing import Standing, standing_of
from meets.publishing.standings import behind_of
from meets.publishing.status import AMENDED, OFFICIAL, PROVISIONAL
from meets.publishing.version_pages import Version, versions_page
from meets.running.states import state_of, states_of


@dataclass(frozen=True)
class Line:
    """An event with its newest version and what comes next."""

    event: Event
    newest: Publication | None
    next: Next
    over: bool


@dataclass(frozen=True)
class Results:
    """All events of a meet; `teams` the newest team standings, `behind` events that give other points by now."""

    lines: tuple[Line, ...]
    teams: Publication | None
    behind: tuple[str, ...] = ()

    @property
    def any_over(self) -> bool:
        return any(line.over for line in self.lines)

    @property
    def any_published(self) -> bool:
        return any(line.newest for line in self.lines)


def results_of(meet: Meet, now: datetime) -> Results:
    """In a number of queries that does not grow with the events."""
    newest = latest(meet)
    naming = naming_more(meet, newest.values())
    lines = []
    for one in states_of(meet):
        following = what_next(one.state, newest.get(one.event.pk), now, meet.time_zone)
        if one.event.pk in naming:
            following = _publish_again(following)
        lines.append(Line(one.event, newest.get(one.event.pk), following, one.state.stage.is_over))
    teams = newest.get(None)
    return Results(tuple(lines), teams, behind_of(json.loads(teams.document), newest) if teams else ())


def _publish_again(following: Next) -> Next:
    says = _(
        "It names somebody more fully than is shown now: the public sees the page without, "
        "and has no files until it is published again."
    )
    return replace(following, says=f"{following.says} {says}", doing=_("Look at it"), urgent=True)


@dataclass(frozen=True)
class EventResult:
    """One event before its next version."""

    standing: Standing
    versions: tuple[Version, ...]
    changes: tuple[str, ...]
    next: Next

    @property
    def statuses(self) -> tuple[str, ...]:
        """What it may be published as, the usual one first."""
        before = self.standing.before
        if before is None:
            return (PROVISIONAL,)
        if before.status != PROVISIONAL:
            return (AMENDED,)
        usual = self.standing.next_status
        return (usual, PROVISIONAL if usual == OFFICIAL else OFFICIAL)

    @property
    def may(self) -> bool:
        """Whether there is anything to publish at all."""
        before = self.standing.before
        return self.standing.over and (before is None or before.status == PROVISIONAL or bool(self.changes))


def event_result(event: Event, now: datetime) -> EventResult:
    standing = standing_of(event, now)
    return EventResult(
        standing,
        tuple(versions_page(event.meet, event)),
        tuple(in_sentences(standing.changes)),
        what_next(state_of(event), standing.before, now, event.meet.time_zone),
    )
