"""How the result of an event stands: what is published, what it would be now, and what may come next."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from meets.models import Event, Publication
from meets.pit.sync.reads import close_out
from meets.publishing.differences import Change, changes_between, matters
from meets.publishing.document import draft_of
from meets.publishing.status import AMENDED, OFFICIAL, PROVISIONAL, Before, Open, appeals_until, may_publish, open_in
from meets.running.reads import state_of
from scoring.state import Stage

Document = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Standing:
    """An event before its next version. `draft` is the document as it would be, without a version of its own."""

    event: Event
    before: Publication | None
    draft: Document
    changes: tuple[Change, ...]
    over: bool
    left: Open
    log_version: int
    protest_minutes: int
    appeals_until: datetime | None = None
    not_here: tuple[str, ...] = ()
    """What phones still hold, while nobody has closed the event: closing takes the proof, or a reason without it."""

    def refuses(self, status: str, *, now: datetime, reason: str = "", referee: str = "") -> str:
        """Why it may not be published with this status now; '' if it may."""
        refused = may_publish(
            status,
            over=self.over,
            before=self._before(),
            left=self.left,
            now=now,
            reason=reason,
            referee=referee,
            appeals_until=self.appeals_until,
            zone=self.event.meet.time_zone,
        )
        if not refused and self.not_here and status != PROVISIONAL:
            close = _("The result can be official once that is here, or the event is closed with a reason.")
            return " ".join((*self.not_here, close))
        return refused

    def _before(self) -> Before | None:
        if self.before is None:
            return None
        return Before(
            self.before.version,
            self.before.status,
            self.before.protests_until,
            bool(self.changes),
            matters(list(self.changes)),
        )

    @property
    def next_status(self) -> str:
        """What comes next in the life of a result."""
        if self.before is None:
            return PROVISIONAL
        if self.before.status != PROVISIONAL:
            return AMENDED
        return PROVISIONAL if matters(list(self.changes)) else OFFICIAL


def newest(event: Event) -> Publication | None:
    return event.publications.defer("pdf", "csv").order_by("-version").first()


def standing_of(event: Event, now: datetime) -> Standing:
    """Asks the database for one event; nothing is written."""
    before, state = newest(event), state_of(event)
    draft = draft_of(event, now)
    changes = changes_between(json.loads(before.document) if before else None, draft)
    return Standing(
        event=event,
        before=before,
        draft=draft,
        changes=tuple(changes),
        over=state.stage.is_over,
        left=open_in(state),
        log_version=state.version,
        protest_minutes=state.rules.protest_minutes,
        appeals_until=appeals_until(state),
        not_here=() if state.stage is Stage.CLOSED else close_out(event).says,
    )
