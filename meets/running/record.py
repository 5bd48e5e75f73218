"""`record`: the one way by which a row gets into an event's log."""

import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from meets.models import Event, LogRow
from meets.running.reads import entries_of, rules_of, state_of
from meets.running.refusals import Refusal, refuse_what_cannot_be
from scoring.facts import Fact, Jumped, RuleChanged, kind_of, to_plain


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


def locked(event_id: int) -> Event:
    """The event, with nobody else recording in it until the transaction ends.

    What is read before a row is written is read behind this, or two people decide on the same state.
    """
    return Event.objects.select_for_update(of=("self",)).select_related("meet").get(pk=event_id)


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
    event = locked(event_id)
    last = LogRow.objects.filter(event_id=event_id).aggregate(last=Max("rev"))["last"] or 0
    if seen_version is not None and seen_version != last:
        raise Overtaken(_("Somebody has recorded in the meantime. Look at the page again, then decide."))
    entries = entries_of(event)
    bibs = {str(entry.pk): entry.bib for entry in entries}
    # A rule changed earlier in the log counts too: the next change must agree with it, and the longest mark may be it.
    by_the_rules = any(isinstance(new.fact, RuleChanged | Jumped) for new in facts)
    rules = state_of(event, entries).rules if by_the_rules else rules_of(event)
    _refuse_unknown_rows(event_id, facts)
    ids = _ids(facts)
    rows = []
    for rev, new in enumerate(facts, last + 1):
        refuse_what_cannot_be(new.fact, event, bibs, rules)
        _refuse_unstorable(new)
        if new.supersedes and not new.reason.strip():
            raise Refusal(_("A correction needs its reason."))
        rows.append(
            LogRow(
                id=ids[rev - last - 1],
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
    """A row corrects rows of its own event, or rows that are stored with it before it."""
    before: set[str] = set()
    named: set[str] = set()
    for new in facts:
        named |= set(new.supersedes) - before
        before |= {new.id} - {None}
    known = LogRow.objects.filter(event_id=event_id, pk__in=[old for old in named if is_id(old)])
    if named and {str(pk) for pk in known.values_list("pk", flat=True)} != named:
        raise Refusal(_("The row to be corrected is not in this event's log."))


def _ids(facts: Sequence[NewRow]) -> list[uuid.UUID]:
    """The ids of the new rows; refuses one that is given twice or is in a log already, of whatever event."""
    given = [new.id for new in facts if new.id is not None]
    if not all(map(is_id, given)):
        raise Refusal(_("This is no name of a row."))
    if len(set(given)) < len(given) or (given and LogRow.objects.filter(pk__in=given).exists()):
        raise Refusal(_("This row is recorded already."))
    return [uuid.UUID(new.id) if new.id is not None else uuid.uuid4() for new in facts]


def is_id(text: str) -> bool:
    """Whether this is the name of a row as it is written everywhere."""
    try:
        return str(uuid.UUID(text)) == text
    except ValueError:
        return False


def _refuse_unstorable(new: NewRow) -> None:
    """Characters that no database keeps: NUL, and halves of a character."""
    for text in (new.reason, *_texts(to_plain(new.fact))):
        if "\0" in text or any("\ud800" <= letter <= "\udfff" for letter in text):
            raise Refusal(_("The text holds a character that cannot be stored. Please type it again."))


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _texts(inner)
