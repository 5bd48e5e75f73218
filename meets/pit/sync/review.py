"""What the desk does with entries that wait: taken in or left out, and clashes settled. Each is one transaction."""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from functools import wraps
from typing import TypeVar
from uuid import uuid4

from django.db import connection, transaction
from django.utils.translation import gettext as _

from meets.models import Delivery, LogRow, SetAside
from meets.pit.sync import tables
from meets.pit.sync.judging import Doubt, row_of
from meets.pit.sync.message import Sent, read_id
from meets.pit.sync.rows import grounds_of, make_rows, rows_written, sent_of
from meets.running.actions import DESK, Refusal
from meets.running.reasons import need_reason, record_with_reason
from meets.running.write_lock import one_writer
from scoring.facts import AlarmSettled

T = TypeVar("T")


def _one_transaction(action: Callable[..., T]) -> Callable[..., T]:
    @wraps(action)
    def inside(*args: object, **kwargs: object) -> T:
        with one_writer(), transaction.atomic():
            return action(*args, **kwargs)

    return inside


@_one_transaction
def take_in(*, delivery: Delivery, by: str, reason: str, now: datetime) -> str:
    """Put a waiting entry into the log as it was written, with what waited for it; the id of its row.

    Raises Refusal for what cannot stand in a log whoever wants it.
    """
    delivery = _locked(delivery, reason)
    if delivery.event_id is None:
        raise Refusal(_("This entry names no event of the meet: leave it out, and record it where it belongs."))
    sent = sent_of(delivery)
    with connection.cursor() as cursor:
        ground = grounds_of(cursor, [sent])[delivery.event_id]
        try:
            waited = make_rows(sent, ground, delivery.at, forced=True)
        except Doubt as doubt:
            raise Refusal(str(doubt)) from doubt
        words = _("taken in at the desk by %(by)s: %(reason)s") % {"by": by, "reason": reason.strip()}
        own = next(row for row in ground.new_rows if row.id == sent.id)
        place = ground.new_rows.index(own)
        ground.new_rows[place] = replace(own, reason="; ".join(filter(None, (own.reason, words)))[:200])
        tables.run(cursor, rows_written({delivery.event_id: ground}, [*waited, sent.id]))
    _settled(delivery, by, now)
    return sent.id


@_one_transaction
def leave_out(*, delivery: Delivery, by: str, reason: str, now: datetime) -> None:
    """A waiting entry does not count; it is kept, and the event's log says that it was left out and why."""
    delivery = _locked(delivery, reason)
    if delivery.event_id is not None:
        _note(delivery.event_id, f"left out {delivery.pk}", by, reason, now)
    delivery.status = Delivery.Status.LEFT_OUT
    delivery.problem = (_("Left out at the desk: %(reason)s") % {"reason": reason.strip()})[:200]
    delivery.save(update_fields=["status", "problem"])
    _settled(delivery, by, now)


@_one_transaction
def settle_set_aside(
    *, set_aside: SetAside, by: str, reason: str, now: datetime, use_instead: bool = False
) -> str | None:
    """Of two entries that clash the first stands, or, with `use_instead`, this one takes its place in the log.

    Gives the id of the new row, if there is one. Raises Refusal.
    """
    need_reason(reason)
    set_aside = SetAside.objects.select_for_update().get(pk=set_aside.pk)
    if set_aside.settled_at is not None:
        raise Refusal(_("Somebody has settled this already."))
    row = _used_instead(set_aside, by, reason, now) if use_instead else None
    event_id = None if row else _event_id(set_aside)
    if event_id is not None:
        _note(event_id, f"set aside {set_aside.hash}", by, reason, now)
    SetAside.objects.filter(pk=set_aside.pk).update(settled_by=by[:80], settled_at=now)
    return row


def _used_instead(set_aside: SetAside, by: str, reason: str, now: datetime) -> str:
    event_id = _event_id(set_aside)
    if event_id is None:
        raise Refusal(_("This entry names no event of the meet: leave it out, and record it where it belongs."))
    said = json.loads(set_aside.body)
    new = str(uuid4())
    sent = Sent(new, 0, set_aside.body, {**said, "id": new}, set_aside.hash)
    with connection.cursor() as cursor:
        ground = grounds_of(cursor, [sent])[event_id]
        try:
            row = row_of(sent, ground, set_aside.at, forced=True)
        except Doubt as doubt:
            raise Refusal(str(doubt)) from doubt
        other = set_aside.clashes_with
        in_log = read_id(other) and LogRow.objects.filter(pk=other, event=event_id).exists()
        old = [*row.supersedes, *([other] if in_log else [])]
        words = _("put in place of a clashing entry by %(by)s: %(reason)s") % {"by": by, "reason": reason.strip()}
        row = replace(row, supersedes=old, reason="; ".join(filter(None, (row.reason, words)))[:200])
        tables.run(cursor, [tables.log_appended(event_id, ground.last_rev, [row])])
    return new


def _event_id(set_aside: SetAside) -> int | None:
    said = json.loads(set_aside.body)
    events = set_aside.device.meet.events
    event_id = said.get("event")
    return event_id if type(event_id) is int and events.filter(pk=event_id).exists() else None


def _locked(delivery: Delivery, reason: str) -> Delivery:
    need_reason(reason)
    delivery = (
        Delivery.objects.select_for_update(of=("self",)).select_related("stream__device__key").get(pk=delivery.pk)
    )
    if delivery.status != Delivery.Status.NEEDS_REVIEW:
        raise Refusal(_("Somebody has settled this already."))
    return delivery


def _settled(delivery: Delivery, by: str, now: datetime) -> None:
    Delivery.objects.filter(pk=delivery.pk).update(settled_by=by[:80], settled_at=now)


def _note(event_id: int, what: str, by: str, reason: str, now: datetime) -> None:
    """The log keeps who decided what about an entry that is not in it."""
    record_with_reason(event_id, AlarmSettled(what), by, DESK, now, reason)
