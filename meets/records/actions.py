"""Decisions on claims, and what an organiser writes into record books."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.models import Meet, NextMeet, Record, RecordBook, RecordClaim, Standard
from meets.records.claiming import Claimed, claims_from, still_stands
from meets.records.standard_lines import GivenStandard
from meets.running.record import locked
from meets.running.refusals import Refusal

__all__ = [
    "Claimed",
    "Confirmed",
    "add_record",
    "claims_from",
    "decide_claim",
    "forget_next_meet",
    "store_book",
    "store_next_meet",
    "store_standards",
    "take_out_record",
    "use_book",
]


MOST_STANDARDS = 500
"""More than any meet has, and as many as one page can hold."""


@dataclass(frozen=True, slots=True)
class Confirmed:
    """The officials who confirm what a record needs, by name."""

    board: str = ""
    measured: str = ""
    wind: str = ""


@transaction.atomic
def decide_claim(
    *, claim: RecordClaim, approve: bool, confirmed: Confirmed | None = None, by: str, now: datetime, decision: str = ""
) -> Record | None:
    """Approve a claim, which writes it into its book, or refuse it with a reason.

    Raises Refusal: for a claim that is decided already or no longer stands, while board, measuring or (where the book
    needs it) wind are not confirmed, and without a reason for a refusal.
    """
    locked(claim.event_id)
    claim = (
        RecordClaim.objects.select_for_update(of=("self",))
        .select_related("book", "event__meet", "entry__athlete__school")
        .get(pk=claim.pk)
    )
    confirmed, decision = confirmed or Confirmed(), decision.strip()
    if claim.state != RecordClaim.State.OPEN:
        raise Refusal(
            _("This claim is decided: %(state)s. Look at the page again.") % {"state": claim.get_state_display()}
        )
    if approve:
        _refuse_unconfirmed(claim, confirmed)
    elif not decision:
        raise Refusal(_("A refusal needs its reason."))
    claim.board_confirmed_by = confirmed.board.strip()[:80]
    claim.measured_confirmed_by = confirmed.measured.strip()[:80]
    claim.wind_confirmed_by = confirmed.wind.strip()[:80]
    claim.state = RecordClaim.State.APPROVED if approve else RecordClaim.State.REFUSED
    claim.decided_at, claim.decided_by, claim.decision = now, by[:80], decision[:200]
    claim.record = _record(claim, by, now) if approve else None
    claim.save()
    return claim.record


def _refuse_unconfirmed(claim: RecordClaim, confirmed: Confirmed) -> None:
    needed = [(confirmed.board, _("board and runway")), (confirmed.measured, _("the measuring"))]
    needed += [(confirmed.wind, _("the wind"))] if claim.book.needs_wind else []
    missing = [what for name, what in needed if not name.strip()]
    if missing:
        says = _("Not confirmed yet: %(what)s. Type the name of the official who confirms it.")
        raise Refusal(says % {"what": ", ".join(missing)})
    if off := still_stands(claim):
        raise Refusal(_("This mark cannot be approved as the result stands now: %(why)s.") % {"why": off})


def _record(claim: RecordClaim, by: str, now: datetime) -> Record:
    event, athlete = claim.event, claim.entry.athlete
    return Record.objects.create(
        book=claim.book,
        discipline=event.discipline,
        category=event.category,
        age_group=event.age_group,
        mark=claim.mark,
        wind_tenths=claim.wind_tenths,
        holder=str(athlete)[:120],
        school=athlete.school.name,
        athlete=athlete,
        year=event.meet.date.year,
        set_on=event.meet.date,
        venue=event.meet.venue,
        approved_by=by[:80],
        approved_at=now,
    )


@transaction.atomic
def take_out_record(*, record: Record, by: str, now: datetime, reason: str) -> None:
    """Take a line out of its book: it stays readable with the reason, and the former record stands again.

    The claim that it came from is refused by that, so that it is not put forward again.
    """
    if not reason.strip():
        raise Refusal(_("A record is taken out with a reason."))
    record = Record.objects.select_for_update(of=("self",)).get(pk=record.pk)
    if record.taken_out_at is not None:
        raise Refusal(_("This record was taken out already: %(why)s.") % {"why": record.taken_out_reason})
    record.taken_out_at, record.taken_out_by, record.taken_out_reason = now, by[:80], reason.strip()[:200]
    record.save(update_fields=["taken_out_at", "taken_out_by", "taken_out_reason"])
    RecordClaim.objects.filter(record=record, state=RecordClaim.State.APPROVED).update(
        state=RecordClaim.State.REFUSED,
        decided_at=now,
        decided_by=by[:80],
        decision=(_("taken out of the book: %(why)s") % {"why": reason.strip()})[:200],
    )


@transaction.atomic
def add_record(*, record: Record, by: str) -> Record:
    """A line that an organiser types in, as from last year's programme: nobody has to approve it."""
    record.approved_by = by[:80]
    record.save()
    return record


@transaction.atomic
def store_book(*, book: RecordBook, meet: Meet) -> RecordBook:
    """A new book, used by this meet from now on, or one whose name or settings were changed."""
    book.save()
    book.meets.add(meet)
    return book


@transaction.atomic
def use_book(*, book: RecordBook, meet: Meet, used: bool) -> None:
    """Use a book of other years at this meet, or no longer; the book and its records stay."""
    if used:
        book.meets.add(meet)
        return
    if RecordClaim.objects.filter(book=book, event__meet=meet).exists():
        says = _("%(book)s has claims of this meet and stays with it.")
        raise Refusal(says % {"book": book})
    book.meets.remove(meet)


@dataclass(frozen=True, slots=True)
class StoredStandards:
    """How many standards are new, have another mark, and are gone."""

    added: int
    changed: int
    removed: int


@transaction.atomic
def store_standards(*, meet: Meet, given: Iterable[GivenStandard], keep_others: bool) -> StoredStandards:
    """Store standards that were read without a problem: those that are there already get the new mark.

    `keep_others`: what the meet has beside them stays; else these are all it has. Raises Refusal for too many.
    """
    there = {(s.name, s.discipline, s.category, s.age_group): s for s in meet.standards.select_for_update()}
    added = changed = 0
    for one in given:
        known = there.pop(one.key, None)
        if known is None:
            Standard.objects.create(
                meet=meet, name=one.name, discipline=one.discipline, category=one.category,
                age_group=one.age_group, mark=one.mark,
            )  # fmt: skip
            added += 1
        elif known.mark != one.mark:
            known.mark = one.mark
            known.save(update_fields=["mark"])
            changed += 1
    removed = 0 if keep_others else len(there)
    if not keep_others:
        Standard.objects.filter(pk__in=[standard.pk for standard in there.values()]).delete()
    if meet.standards.count() > MOST_STANDARDS:
        raise Refusal(_("A meet has at most %(count)d standards.") % {"count": MOST_STANDARDS})
    return StoredStandards(added, changed, removed)


def store_next_meet(*, following: NextMeet) -> NextMeet:
    following.save()
    return following


def forget_next_meet(*, meet: Meet) -> None:
    """Nobody goes on from this meet: its next meet was set by mistake."""
    NextMeet.objects.filter(meet=meet).delete()
