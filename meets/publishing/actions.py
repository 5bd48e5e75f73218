"""Everything that publishes. A version, its PDF and CSV, and what follows from it are stored together or not at all."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from athletes.reading.names import tidy_text
from meets.models import Event, Meet, Publication
from meets.pit.sync.message import storable
from meets.publishing.address import public_address
from meets.publishing.canonical import canonical, sha256_of
from meets.publishing.differences import standings_changes
from meets.publishing.document import result_document
from meets.publishing.pdf import pdf_of
from meets.publishing.reads import latest
from meets.publishing.sheet import csv_of
from meets.publishing.standing import Standing, standing_of
from meets.publishing.standings import standings_document
from meets.publishing.status import AMENDED, OFFICIAL, PROVISIONAL, protest_period_ends
from meets.records.actions import claims_from
from meets.records.past_marks import copy_bests
from meets.running.record import Overtaken, locked
from meets.running.refusals import Refusal

__all__ = ["Done", "Seen", "latest", "publish", "publish_meet", "publish_next", "publish_standings"]


@dataclass(frozen=True, slots=True)
class Seen:
    """What whoever publishes had before their eyes: the version that stood (0 for none) and the event's log."""

    version: int
    log_version: int


@dataclass(frozen=True, slots=True)
class Done:
    """What came of one event: its new version, or why there is none."""

    event: Event
    publication: Publication | None = None
    why_not: str = ""


def publish(
    event: Event,
    *,
    status: str,
    by: str,
    now: datetime,
    signed: str = "",
    reason: str = "",
    referee: str = "",
    seen: Seen | None = None,
    base: str = "",
) -> Publication:
    """The next version of an event's result.

    `by`: the account that publishes, for the desk; `signed`: who that is to everybody, `by` itself if nothing is given.
    `referee`: the name of the referee who says that it is official before the time for protests is over. `base`: where
    people find this server, for the code on the sheet. Raises Refusal with a sentence; Overtaken if somebody else has
    published or recorded in the meantime.
    """
    try:
        with transaction.atomic():
            return _publish(event.pk, status, by, signed, now, tidy_text(reason), tidy_text(referee), seen, base)
    except IntegrityError as problem:
        raise Overtaken(_somebody_else()) from problem


def _publish(
    event_id: int,
    status: str,
    by: str,
    signed: str,
    now: datetime,
    reason: str,
    referee: str,
    seen: Seen | None,
    base: str,
) -> Publication:
    if not storable([reason, referee]):
        raise Refusal(_("The text holds a character that cannot be stored. Please type it again."))
    event = locked(event_id)
    # Claims are part of the document, so they are made to fit first; a refusal takes them back.
    claims_from(event, now, by)
    stands = standing_of(event, now)
    _refuse_unseen(stands, seen)
    if refused := stands.refuses(status, now=now, reason=reason, referee=referee):
        raise Refusal(refused)
    version = stands.before.version + 1 if stands.before else 1
    until = protest_period_ends(now, stands.protest_minutes) if status == PROVISIONAL else None
    document = result_document(
        stands.draft,
        now=now,
        status=status,
        version=version,
        by=signed or by,
        reason=reason,
        protests_until=until,
        before=stands.before,
        referee=referee if status == OFFICIAL else "",
        address=public_address(event.meet, event, base),
        changes=stands.changes,
    )
    made = _store(document, meet=event.meet, event=event, by=by, now=now, until=until)
    copy_bests(event, document)
    return made


def _store(
    document: Mapping[str, object],
    *,
    meet: Meet,
    event: Event | None,
    by: str,
    now: datetime,
    until: datetime | None = None,
) -> Publication:
    """A finished document as the next version, with what is made from it. Inside a transaction."""
    text = canonical(document)
    sha256 = sha256_of(text)
    return Publication.objects.create(
        meet=meet,
        event=event,
        version=document["version"],
        status=document["status"],
        log_version=document.get("log_version", 0),
        document=text,
        sha256=sha256,
        pdf=pdf_of(document, sha256),
        csv=csv_of(document, sha256),
        changes=document["changes"],
        protests_until=until,
        reason=document["reason"][:200],
        by=by[:80],
        at=now,
    )


def _refuse_unseen(stands: Standing, seen: Seen | None) -> None:
    if seen is None:
        return
    before = stands.before
    if (before.version if before else 0) != seen.version:
        raise Overtaken(_somebody_else(before))
    if stands.log_version != seen.log_version:
        raise Overtaken(
            _("Somebody has recorded in this event in the meantime. Look at the result again, then decide.")
        )


def _somebody_else(before: Publication | None = None) -> str:
    if before is None:
        return _("Somebody else has just published this result. Look at the page again.")
    return _("%(who)s has just published version %(version)d of this result. Look at the page again.") % {
        "who": before.by,
        "version": before.version,
    }


def publish_standings(
    meet: Meet, *, by: str, now: datetime, signed: str = "", base: str = "", seen: int | None = None
) -> Publication:
    """The next version of the team standings, added up from the results published so far.

    Official once all events are; amended when they change after that. `seen`: the version that whoever publishes saw,
    0 for none. Raises Refusal with a sentence, Overtaken if somebody else has just published.
    """
    try:
        with transaction.atomic():
            return _publish_standings(meet.pk, by, signed, now, base, seen)
    except IntegrityError as problem:
        raise Overtaken(_somebody_else()) from problem


def _publish_standings(meet_id: int, by: str, signed: str, now: datetime, base: str, seen: int | None) -> Publication:
    meet = Meet.objects.select_for_update(of=("self",)).get(pk=meet_id)
    results = latest(meet)
    before = results.pop(None, None)
    if seen is not None and (before.version if before else 0) != seen:
        raise Overtaken(_somebody_else(before))
    if not results:
        raise Refusal(_("No result is published yet: team standings are added up from published results."))
    old = json.loads(before.document) if before else None
    document = standings_document(
        meet,
        results,
        now=now,
        status=standings_status(meet, results, before),
        version=before.version + 1 if before else 1,
        by=signed or by,
        reason=_new_results(old, results),
        before=before,
        address=public_address(meet, None, base),
    )
    document["changes"] = standings_changes(old, document)
    if before and not document["changes"] and not document["reason"]:
        raise Refusal(_("Nothing has changed since version %(version)d.") % {"version": before.version})
    return _store(document, meet=meet, event=None, by=by, now=now)


def standings_status(meet: Meet, results: Mapping[int, Publication], before: Publication | None) -> str:
    if before and before.status != PROVISIONAL:
        return AMENDED
    settled = {number for number, result in results.items() if result.status != PROVISIONAL}
    return OFFICIAL if settled >= set(meet.events.values_list("pk", flat=True)) else PROVISIONAL


def _new_results(old: Mapping[str, object] | None, results: Mapping[int, Publication]) -> str:
    """Which results are new or changed since the standings before: the reason for the next version."""
    if old is None:
        return ""
    seen = {event["number"]: event["sha256"] for event in old["events"]}
    new = [result for number, result in results.items() if seen.get(number) != result.sha256]
    names = ", ".join(
        _("%(event)s (version %(version)d)") % {"event": result.event.name, "version": result.version} for result in new
    )
    return _("new results: %(events)s") % {"events": names} if names else ""


def publish_meet(
    meet: Meet, *, by: str, now: datetime, signed: str = "", reason: str = "", base: str = "", referee: str = ""
) -> list[Done]:
    """The next version of every event that can have one; each event by itself, all or nothing."""
    return [
        publish_next(event, by=by, now=now, signed=signed, reason=reason, base=base, referee=referee)
        for event in meet.events.select_related("meet")
    ]


def publish_next(
    event: Event, *, by: str, now: datetime, signed: str = "", reason: str = "", base: str = "", referee: str = ""
) -> Done:
    """Whatever comes next for this event."""
    status = standing_of(event, now).next_status
    try:
        done = publish(event, status=status, by=by, now=now, signed=signed, reason=reason, base=base, referee=referee)
    except Refusal as refused:
        return Done(event, why_not=str(refused))
    return Done(event, done)
