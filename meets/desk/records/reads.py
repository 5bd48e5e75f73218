"""What the pages of record books and claims show: plain values only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.desk.records.claim_reads import ClaimRow, claim_row
from meets.entries.rules import meet_rules
from meets.entries.values import wind_words
from meets.models import Meet, Record, RecordBook, RecordClaim
from meets.records import books
from meets.records.candidates import Candidate, candidates_in
from meets.records.honours import longest_of_each_kind, not_a_record
from meets.records.words import kind_words
from meets.running.reads import states_of
from scoring.age_schemes import SCHEMES
from scoring.marks import Unit, show_mark
from scoring.wind import Wind

EXAMPLES = {Unit.CM: 543, Unit.QUARTER_INCH: 786}


@dataclass(frozen=True)
class NotARecord:
    """A mark that is long enough for a record and no claim, and why."""

    event: str
    bib: str
    name: str
    says: str


@dataclass(frozen=True)
class RecordsPage:
    """Claims of a meet, what is waiting to become one or to be withdrawn, and its books."""

    claims: Sequence[ClaimRow]
    waiting: tuple[str, ...]
    others: tuple[NotARecord, ...]
    books: Sequence[RecordBook]
    other_books: Sequence[RecordBook]


def records_page(meet: Meet) -> RecordsPage:
    nows = states_of(meet)
    candidates = candidates_in(meet, [(now.event, now.state, now.entries) for now in nows])
    stored = list(_claims(meet))
    waiting, others = [], []
    for now in nows:
        own = candidates[now.event.pk]
        if said := _waiting(now.event.name, own, [claim for claim in stored if claim.event_id == now.event.pk]):
            waiting.append(said)
        people = {str(entry.pk): entry for entry in now.entries}
        for one in longest_of_each_kind(own):
            entry = people[one.entry]
            others.append(NotARecord(now.event.name, entry.bib, str(entry.athlete), not_a_record(one, now.event)))
    used = _books(meets=meet)
    return RecordsPage(
        claims=[claim_row(claim) for claim in stored],
        waiting=tuple(waiting),
        others=tuple(others),
        books=used,
        other_books=[book for book in _books() if book not in used],
    )


def _claims(meet: Meet) -> QuerySet[RecordClaim]:
    return (
        RecordClaim.objects.filter(event__meet=meet)
        .select_related("book", "event", "entry__athlete__school")
        .order_by("event__position", "event", "book__level", "pk")
    )


def _books(**only: object) -> Sequence[RecordBook]:
    stands = Count("records", filter=Q(records__taken_out_at=None), distinct=True)
    return list(RecordBook.objects.filter(**only).select_related("school").annotate(line_count=stands))


def _waiting(event: str, candidates: Sequence[Candidate], stored: Sequence[RecordClaim]) -> str:
    """What putting the claims of an event in order would change, in a sentence; '' if nothing."""
    there = {(claim.book_id, claim.turn): claim for claim in stored}
    wanted = {(one.book.pk, one.turn): one for one in candidates if one.found.is_claim}
    new = [key for key in wanted if key not in there or there[key].state == RecordClaim.State.WITHDRAWN]
    changed = [
        key
        for key, claim in there.items()
        if key in wanted and claim.state != RecordClaim.State.WITHDRAWN and claim.mark != wanted[key].found.mark
    ]
    gone = [key for key, claim in there.items() if key not in wanted and claim.state == RecordClaim.State.OPEN]
    parts = []
    if new:
        words = ngettext("%(count)d mark is not put forward yet", "%(count)d marks are not put forward yet", len(new))
        parts.append(words % {"count": len(new)})
    if changed or gone:
        many = len(changed) + len(gone)
        words = ngettext(
            "%(count)d claim is no longer as the result stands",
            "%(count)d claims are no longer as the result stands",
            many,
        )
        parts.append(words % {"count": many})
    return f"{event}: {', '.join(parts)}." if parts else ""


@dataclass(frozen=True)
class BookLine:
    """A line of a book as it is read: it stands, was beaten or taken out. `event` only on the first line of each."""

    record_id: int
    event: str
    mark: str
    wind: str
    holder: str
    school: str
    when: str
    where: str
    stands: bool
    taken_out: bool
    status: str
    approved: str


def book_lines(book: RecordBook) -> list[BookLine]:
    """Everything in a book, event by event: what stands first, then its history, then what was taken out."""
    unit = Unit(book.unit)
    grouped: dict[tuple[str, str, str], list[Record]] = {}
    for record in book.records.order_by("discipline", "age_group", "category", "-mark", "year", "set_on", "pk"):
        grouped.setdefault((record.discipline, record.category, record.age_group), []).append(record)
    return [line for kind, records in grouped.items() for line in _lines(kind_words(*kind), records, unit)]


def _lines(event: str, records: Sequence[Record], unit: Unit) -> list[BookLine]:
    standing = {record.pk for record in books.standing([one for one in records if one.taken_out_at is None])}
    ordered = sorted(records, key=lambda one: (one.taken_out_at is not None, -one.mark, one.year))
    return [
        _line(record, unit, "" if number else event, record.pk in standing) for number, record in enumerate(ordered)
    ]


def _line(record: Record, unit: Unit, event: str, stands: bool) -> BookLine:
    taken_out = record.taken_out_at is not None
    if taken_out:
        status = _("taken out by %(who)s: %(why)s") % {"who": record.taken_out_by, "why": record.taken_out_reason}
    else:
        status = _("stands") if stands else _("beaten")
    return BookLine(
        record_id=record.pk,
        event=event,
        mark=books.marked(show_mark(record.mark, unit), books.wind_of(record)),
        wind=wind_words(books.wind_of(record)),
        holder=record.holder,
        school=record.school,
        when=_when(record.set_on, record.year),
        where=record.venue,
        stands=stands,
        taken_out=taken_out,
        status=status,
        approved=record.approved_by if record.approved_at else "",
    )


def line_of(record: Record) -> BookLine:
    return _line(record, Unit(record.book.unit), "", stands=False)


def what_it_keeps(book: RecordBook) -> str:
    """What a book is about, in a sentence."""
    match book.level:
        case RecordBook.Level.MEET:
            return _("Records of a meet that is held every year.")
        case RecordBook.Level.DISTRICT:
            return _("Records of the district.")
        case _:
            return _("Records of %(school)s, for its own athletes alone.") % {"school": book.school}


def _when(day: date | None, year: int) -> str:
    return f"{day:%-d %b %Y}" if day else str(year)


def has_lines(book: RecordBook) -> bool:
    return book.records.exists() or book.claims.exists()


def limits_of(book: RecordBook, meet: Meet) -> tuple[Unit, int]:
    """The unit of a book and the longest mark that is no slip, in cm."""
    return Unit(book.unit), meet_rules(meet).longest_cm(triple=True)


def example_of(book: RecordBook) -> str:
    return show_mark(EXAMPLES[Unit(book.unit)], Unit(book.unit))


def is_windy(tenths: int | None) -> bool:
    return tenths is not None and books.is_windy(Wind(tenths))


def is_there(book: RecordBook, cleaned: Mapping[str, object]) -> bool:
    same = ("discipline", "category", "age_group", "mark", "holder", "year")
    return book.records.filter(taken_out_at=None, **{name: cleaned[name] for name in same}).exists()


def age_groups_for(book: RecordBook, meet: Meet) -> list[tuple[str, str]]:
    """The age groups of the meet's scheme, and those that older lines of the book have."""
    groups = [(group.key, f"{group.key} ({_(group.label)})") for group in SCHEMES[meet.age_scheme].groups]
    known = {key for key, _label in groups}
    older = book.records.order_by("age_group").values_list("age_group", flat=True).distinct() if book.pk else ()
    return groups + [(key, key) for key in older if key not in known]
