"""Receiving what phones send. A batch is one transaction; nothing is answered before it has ended."""

import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import IntegrityError, ProgrammingError, connection, transaction
from django.utils.translation import gettext as _

from meets.models import Delivery, Device
from meets.pit.keys.tokens import Claims
from meets.pit.sync import tables
from meets.pit.sync.bringers import Bringer, phone_asked, phone_found
from meets.pit.sync.ground import Ground, Question
from meets.pit.sync.having import Have, have_from, set_aside_seqs
from meets.pit.sync.judging import Doubt, Source, doubt_about
from meets.pit.sync.message import Batch, Sent
from meets.pit.sync.planned import Statement, forget_plans
from meets.pit.sync.rows import event_of, grounds_of, keys_by_event, make_rows, rows_written
from meets.pit.sync.streams import NotBegun, stream_of
from meets.pit.sync.tables import Crossed, Known, NewDelivery, StreamRow
from meets.running.write_lock import one_writer

log = logging.getLogger(__name__)

STORED, DUPLICATE, NEEDS_REVIEW, QUARANTINED = "stored", "duplicate", "needs_review", "quarantined"
TRIES = 5


class NoSuchStream(Exception):
    """The batch names a phone that this meet does not know; its text is a sentence."""


@dataclass(frozen=True, slots=True)
class Result:
    """What became of one entry; `says` is a sentence for the official, '' where nothing is to be said."""

    id: str
    status: str
    says: str = ""


@dataclass(frozen=True, slots=True)
class Pushed:
    """The answer to a batch."""

    server_epoch: UUID
    results: tuple[Result, ...]
    have: Have


def push(*, batch: Batch, bringer: Bringer | Claims, now: datetime) -> Pushed:
    """Receive a batch: each entry is stored once, answered as the first time when it comes again, and never refused.

    A phone that brings its own entries is named by its claims, and asked for with the rest.
    Raises NoSuchStream; MoreToSay where claims are not enough; OperationalError when nothing can be stored, and then
    nothing is.
    """
    source = _source_of(batch, bringer) if isinstance(bringer, Bringer) else None
    for tries_left in reversed(range(TRIES)):
        try:
            with one_writer(), transaction.atomic(durable=True), connection.cursor() as cursor:
                if tries_left < TRIES - 1:
                    tables.begin_stream(cursor, batch.device, batch.epoch, now)
                return _receive(cursor, batch, source, bringer, now)
        except (NotBegun, Crossed, IntegrityError):
            # The stream is new; or another connection stored the same entry at the same moment.
            if not tries_left:
                raise
        except ProgrammingError as trouble:
            if not tries_left or not forget_plans(trouble):
                raise
    raise AssertionError("unreachable")


def _source_of(batch: Batch, bringer: Bringer) -> Source:
    """Whose entries these are; they are judged by the key of that phone, whoever brings them."""
    covers = bringer.covers
    if batch.device == bringer.device:
        return covers
    owner = Device.objects.select_related("key").filter(pk=batch.device, meet=covers.meet_id).first()
    if owner is None:
        raise NoSuchStream(_("These entries are from a phone that this meet does not know."))
    key, revoked = owner.key, owner.revoked_at is not None
    return Source(covers.meet_id, frozenset(key.roles), key.session_id, key.event_id, covers.late, revoked)


def _receive(cursor, batch: Batch, source: Source | None, bringer: Bringer | Claims, now: datetime) -> Pushed:
    asked = _ask(cursor, batch, bringer, now)
    source, stream = source or asked.source, asked.stream
    results, fresh, aside = _sorted_out(batch, stream, asked.known)
    for sent, clashes_with in aside:
        tables.set_aside(cursor, batch.device, sent.text, sent.hash, clashes_with, now)
        log.error("an entry of device %s was set aside: it clashes with %s", batch.device, clashes_with)
    grounds = grounds_of(cursor, fresh, asked.grounds) if fresh else {}
    stored, writes = _store(fresh, source, stream, grounds, bringer.device, now)
    came = [sent.seq for sent in (*fresh, *(sent for sent, _reason in aside)) if sent.seq]
    before = (stream.max_seq, stream.upto)
    have = _keep(cursor, batch, stream, came, aside=bool(aside))
    if (stream.max_seq, stream.upto) != before:
        writes.append(tables.stream_kept(stream))
    if writes and tables.run(cursor, writes) != len(fresh) and fresh:
        raise Crossed
    return Pushed(stream.server_epoch, _in_order(batch, results, stored), have)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a batch is received by; `source` only where the phone was asked for too."""

    source: Source | None
    stream: StreamRow
    known: Sequence[Known]
    grounds: Mapping[int, Ground | None]


def _ask(cursor, batch: Batch, bringer: Bringer | Claims, now: datetime) -> _Asked:
    """Everything in one message: the phone, its stream, locked, what is stored of the batch, the event if it is one."""
    filed = [sent for sent in batch.entries if sent.broken != "form"]
    keys = keys_by_event(filed)
    question = Question(*next(iter(keys.items()))) if len(keys) == 1 else None
    found = iter(
        tables.begin_and_look(
            cursor,
            [
                *([phone_asked(bringer)] if isinstance(bringer, Claims) else ()),
                tables.stream_asked(batch.device, batch.epoch),
                tables.known_asked(batch.device, batch.epoch, [sent.id for sent in filed], [one.seq for one in filed]),
                *(question.statements if question else ()),
            ],
        )
    )
    source = phone_found(bringer, next(found), now).covers if isinstance(bringer, Claims) else None
    stream, known = stream_of(next(found), now), tables.known_found(next(found))
    grounds = {question.event_id: question.answered(cursor, *found)} if question else {}
    return _Asked(source, stream, known, grounds)


def _sorted_out(
    batch: Batch, stream: StreamRow, known: Sequence[Known]
) -> tuple[dict[int, Result], list[Sent], list[tuple[Sent, str]]]:
    """Answers that are clear by place in the batch, entries that are new, and those to be set aside with the reason."""
    by_id = {one.id: one for one in known}
    by_seq = {one.seq: one for one in known if one.stream == stream.pk}
    results: dict[int, Result] = {}
    fresh, aside = [], []
    for place, sent in enumerate(batch.entries):
        there = by_id.get(sent.id) or by_seq.get(sent.seq)
        if not sent.broken and there is None:
            fresh.append(sent)
            by_id[sent.id] = by_seq[sent.seq] = Known(sent.id, stream.pk, sent.seq, sent.hash, "", "")
        elif not sent.broken and (there.id, there.stream, there.seq, there.hash) == (
            sent.id, stream.pk, sent.seq, sent.hash,
        ):  # fmt: skip
            if there.status:
                results[place] = _again(there)
        else:
            aside.append((sent, sent.broken or there.id))
            results[place] = Result(sent.id, QUARANTINED, _("Kept apart: it clashes with another entry."))
    return results, fresh, aside


def _again(known: Known) -> Result:
    if known.status == Delivery.Status.NEEDS_REVIEW:
        return Result(known.id, NEEDS_REVIEW, known.problem)
    return Result(known.id, DUPLICATE, known.problem)


def _store(
    fresh: Sequence[Sent],
    source: Source,
    stream: StreamRow,
    grounds: Mapping[int, Ground],
    brought_by: UUID,
    now: datetime,
) -> tuple[dict[str, Result], list[Statement]]:
    """New entries are delivered, and in the log if nothing speaks against it: the answers, and what is to be run."""
    if not fresh:
        return {}, []
    results, deliveries, taken_in = {}, [], []
    for sent in sorted(fresh, key=lambda sent: sent.seq):
        ground = grounds.get(event_of(sent))
        status, says = STORED, ""
        try:
            doubt_about(sent, source, ground)
            taken_in += make_rows(sent, ground, now)
        except Doubt as doubt:
            status, says = NEEDS_REVIEW, str(doubt)[:200]
        results[sent.id] = Result(sent.id, status, says)
        event_id = ground.event.pk if ground is not None and ground.meet.pk == source.meet_id else None
        deliveries.append(NewDelivery(sent.id, sent.seq, event_id, sent.text, sent.hash, status, says))
    delivered = tables.deliveries_stored(stream.pk, deliveries, brought_by, now)
    return results, [delivered, *rows_written(grounds, taken_in)]


def _keep(cursor, batch: Batch, stream: StreamRow, came: Sequence[int], *, aside: bool) -> Have:
    """How far the stream has come with these, and what of it is here."""
    above = set(came)
    if stream.max_seq > stream.upto or aside:
        above |= {*tables.seqs_above(cursor, stream.pk, stream.upto)} | set_aside_seqs(batch.device, batch.epoch)
    stream.max_seq = max(stream.max_seq, batch.max_seq, *came, 0)
    have = have_from(stream.upto, above, stream.max_seq)
    stream.upto = have.upto
    return have


def _in_order(batch: Batch, results: dict[int, Result], stored: dict[str, Result]) -> tuple[Result, ...]:
    """One answer for each entry in the order of the batch; what is in it twice is a duplicate the second time."""
    answers, seen = [], set()
    for place, sent in enumerate(batch.entries):
        answer = results.get(place) or stored[sent.id]
        if sent.id in seen and answer.status == STORED:
            answer = Result(sent.id, DUPLICATE)
        seen.add(sent.id)
        answers.append(answer)
    return tuple(answers)
