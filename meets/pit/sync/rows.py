"""From an entry to the row that it puts into the log of its event, and those of entries that waited for it."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Delivery, LogRow, Role
from meets.pit.keys.roles import DECIDING, MAY_WRITE
from meets.pit.sync import tables
from meets.pit.sync.ground import Ground, learn_bibs, lock_ground
from meets.pit.sync.judging import Doubt, Source, doubt_about, entry_keys, not_added_yet, pit_names, row_of
from meets.pit.sync.message import ADDED, LARGEST, Sent
from meets.pit.sync.named import entry_named, keys_of
from meets.pit.sync.planned import Statement
from meets.pit.sync.tables import NewLogRow
from meets.running.actions import SECOND
from scoring.facts import KINDS, CheckedIn, Jumped, WindRead, kind_of, to_plain

WIND = kind_of(WindRead("", 1, None))
# Trials and winds that a referee has settled stand on the pages of recorders, who put them right there.
RECORDED = frozenset(kind for kind, type_ in KINDS.items() if type_ in (Jumped, WindRead))


def make_rows(sent: Sent, ground: Ground, now: datetime, *, forced: bool = False) -> list[str]:
    """Add the row of an entry to the new rows of its event. Raises Doubt, and then nothing is made.

    Gives the ids of deliveries that waited for this one and are taken in with it.
    """
    if sent.said.get("kind") != ADDED:
        row = row_of(sent, ground, now, forced=forced)
        if not forced:
            _refuse_what_is_for_others(sent, row)
        ground.new_rows.append(row)
        return []
    with transaction.atomic():
        named = entry_named(sent, ground, forced=forced)
        ground.names[named.name] = named.key
        try:
            row = row_of(sent, ground, now, forced=forced)
        except Doubt:
            del ground.names[named.name]
            raise
    if not named.anew:
        here = CheckedIn(named.key)
        row = replace(row, kind=kind_of(here), values=to_plain(here))
    ground.new_rows.append(row)
    return _waited_for(named.name, ground)


def _refuse_what_is_for_others(sent: Sent, row: NewLogRow) -> None:
    """Nobody takes the place of a row that others have to put right. Raises Doubt.

    Phones are exchanged, so who may put a row right is asked of roles and never of phones.
    """
    role = sent.said.get("role")
    if not row.supersedes or role not in MAY_WRITE:
        return
    found = LogRow.objects.filter(pk__in=row.supersedes).values_list("kind", "recorder", "supersedes")
    if not all(_may_put_right(Role(role), *old) for old in found):
        raise Doubt(_("It puts right what only the referee or the desk may put right."))


def _may_put_right(role: Role, kind: str, recorder: str, replaced: Sequence[str]) -> bool:
    """Whether a role may take the place of a row of this kind and record, which itself replaced others or none."""
    if role == Role.REFEREE:
        return kind in MAY_WRITE[role]
    if role == Role.GAUGE:
        return kind == WIND
    if kind not in RECORDED:
        return kind in MAY_WRITE[role] and recorder not in DECIDING
    # A second recorder is shown those of another record only where they took the place of something.
    return role != Role.SECOND or recorder == SECOND or bool(replaced)


def _waited_for(name: str, ground: Ground) -> list[str]:
    """Entries that came before the athlete they name was added go into the log now, in the order of their phones."""
    waiting = Delivery.objects.filter(
        event=ground.event.pk,
        status=Delivery.Status.NEEDS_REVIEW,
        problem=not_added_yet(),
        body__contains=name,
    )
    taken_in = []
    for delivery in waiting.select_related("stream__device__key").order_by("stream", "seq"):
        sent = sent_of(delivery)
        try:
            doubt_about(sent, source_of(delivery), ground)
            ground.everybody()
            taken_in += [*make_rows(sent, ground, delivery.at), sent.id]
        except Doubt:
            continue
    return taken_in


def sent_of(delivery: Delivery) -> Sent:
    """A stored delivery as it was sent."""
    said: Mapping[str, object] = json.loads(delivery.body)
    return Sent(str(delivery.pk), delivery.seq, delivery.body, said, delivery.hash)


def source_of(delivery: Delivery) -> Source:
    """Whose it is, and what that phone may write."""
    device = delivery.stream.device
    key = device.key
    return Source(device.meet_id, frozenset(key.roles), key.session_id, key.event_id)


def event_of(sent: Sent) -> int:
    """The event that an entry names; 0 if it names none."""
    event_id = sent.said.get("event")
    return event_id if type(event_id) is int and 0 < event_id <= LARGEST else 0


def grounds_of(cursor, fresh: Sequence[Sent], asked: Mapping[int, Ground | None] | None = None) -> dict[int, Ground]:
    """The events that entries are about, locked in one order by everybody; `asked`: what is locked already."""
    grounds = dict(asked or {})
    for event_id, keys in sorted(keys_by_event(fresh).items()):
        if event_id not in grounds:
            grounds[event_id] = lock_ground(cursor, event_id, keys)
    found = {event_id: ground for event_id, ground in grounds.items() if ground is not None}
    names: dict[int, set[str]] = {}
    for sent in fresh:
        names.setdefault(event_of(sent), set()).update(pit_names(sent.said.get("values")))
    for event_id, ground in found.items():
        if names.get(event_id):
            ground.names = keys_of(names[event_id], event_id)
            learn_bibs(cursor, ground, [int(key) for key in ground.names.values()])
    return found


def keys_by_event(entries: Sequence[Sent]) -> dict[int, list[int]]:
    """Events that entries are about, each with what could be keys of those who are in it."""
    keys: dict[int, set[int]] = {}
    for sent in entries:
        if event_id := event_of(sent):
            keys.setdefault(event_id, set()).update(entry_keys(sent.said.get("values")))
    return {event_id: sorted(found) for event_id, found in keys.items()}


def rows_written(grounds: Mapping[int, Ground], taken_in: Sequence[str]) -> list[Statement]:
    """Puts what was made for the log into it; deliveries that waited for it are settled."""
    statements = [
        tables.log_appended(event_id, ground.last_rev, ground.new_rows)
        for event_id, ground in grounds.items()
        if ground.new_rows
    ]
    return [*statements, tables.deliveries_settled(taken_in)] if taken_in else statements
