"""`record`: the one way by which a row gets into an event's log."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from meets.models import Event, LogRow
from meets.running.reads import rules_of, state_of
from meets.running.refusals import Refusal, refuse_what_cannot_be
from scoring.facts import Fact, RuleChanged, kind_of, to_plain


@dataclass(frozen=True, slots=True)
class NewRow:
    """A fact to record; `supersedes` names the rows it replaces, `reason` why, `id` if it was given at the pit."""

    fact: Fact
    reason: str = ""
    supersedes: tuple[str, ...] = ()
    id: str | None = None


@dataclass(frozen=True, slots=True)
class Recorded:
    """What was stored: the ids in order, and the log's version after it."""

    version: int
    rows: tuple[str, ...]


class Overtaken(Refusal):
    """Somebody has recorded in the meantime; a decision must be taken on what stands now."""


@transaction.atomic
def record(
    *,
    event_id: int,
    facts: Sequence[NewRow],
    by: str,
    recorder: str,
    now: datetime,
    seen_version: int | None = None,
) -> Recorded:
    """Append rows to the log of an event: all or none.

    `seen_version` is given for decisions: if the log has grown since, nothing is stored and Overtaken raised.
    Raises Refusal with a sentence for what cannot be.
    """
    event = Event.objects.select_for_update(of=("self",)).select_related("meet").get(pk=event_id)
    last = LogRow.objects.filter(event_id=event_id).aggregate(last=Max("rev"))["last"] or 0
    if seen_version is not None and seen_version != last:
        raise Overtaken(_("Somebody has recorded in the meantime. Look at the page again, then decide."))
    bibs = {str(pk): bib for pk, bib in event.entries.values_list("pk", "bib")}
    # A rule changed earlier in the log counts too: the next change must agree with it.
    changes_rules = any(isinstance(new.fact, RuleChanged) for new in facts)
    rules = state_of(event).rules if changes_rules else rules_of(event)
    _refuse_unknown_rows(event_id, facts)
    rows = []
    for rev, new in enumerate(facts, last + 1):
        refuse_what_cannot_be(new.fact, event, bibs, rules)
        if new.supersedes and not new.reason:
            raise Refusal(_("A correction needs its reason."))
        rows.append(
            LogRow(
                id=uuid.UUID(new.id) if new.id else uuid.uuid4(),
                event=event,
                rev=rev,
                kind=kind_of(new.fact),
                values=to_plain(new.fact),
                supersedes=list(new.supersedes),
                recorder=recorder,
                by=by[:80],
                reason=new.reason[:200],
                at=now,
            )
        )
    LogRow.objects.bulk_create(rows)
    return Recorded(last + len(rows), tuple(str(row.pk) for row in rows))


def _refuse_unknown_rows(event_id: int, facts: Sequence[NewRow]) -> None:
    named = {old for new in facts for old in new.supersedes} - {new.id for new in facts}
    if named and LogRow.objects.filter(event_id=event_id, pk__in=named).count() != len(named):
        raise Refusal(_("The row to be corrected is not in this event's log."))
