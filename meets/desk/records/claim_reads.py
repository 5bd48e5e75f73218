"""What the page and the form of a claim show: plain values only."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from meets.entries.values import wind_words, with_minus
from meets.models import Meet, RecordClaim
from meets.records import books
from meets.records.claiming import still_stands
from meets.records.words import level_words
from meets.running.reads import entries_of, people_of, sand_cm_of, state_of
from meets.sheets.documents import About, ClaimSheet
from meets.sheets.wording import full_date, printed_at
from scoring.marks import Unit, show_mark
from scoring.state import EntryState
from scoring.trials import show_series
from scoring.wind import Wind


@dataclass(frozen=True)
class ClaimRow:
    """A claim in a list."""

    claim_id: int
    event: str
    bib: str
    name: str
    school: str
    mark: str
    wind: str
    what: str
    book: str
    state: str
    state_words: str
    decision: str


def claim_row(claim: RecordClaim) -> ClaimRow:
    level = level_words(claim.book)
    what = _("equals the %(level)s") if claim.equals else _("beats the %(level)s")
    return ClaimRow(
        claim_id=claim.pk,
        event=claim.event.name,
        bib=claim.entry.bib,
        name=str(claim.entry.athlete),
        school=claim.entry.athlete.school.name,
        mark=shown_mark(claim),
        wind=wind_words(Wind(claim.wind_tenths)),
        what=what % {"level": level},
        book=claim.book.name,
        state=claim.state,
        state_words=claim.get_state_display(),
        decision=claim.decision,
    )


def shown_mark(claim: RecordClaim) -> str:
    return books.marked(show_mark(claim.mark, Unit(claim.book.unit)), Wind(claim.wind_tenths))


@dataclass(frozen=True)
class ClaimPage:
    """One claim with everything that officials decide on. `off`: why it cannot be approved now, '' if it can."""

    row: ClaimRow
    facts: tuple[tuple[str, str], ...]
    beaten_by: tuple[str, ...]
    needs_wind: bool
    is_open: bool
    off: str


def claim_page(claim: RecordClaim) -> ClaimPage:
    is_open = claim.state == RecordClaim.State.OPEN
    return ClaimPage(
        row=claim_row(claim),
        facts=tuple(_facts(claim)),
        beaten_by=tuple(_beaten_by(claim)),
        needs_wind=claim.book.needs_wind,
        is_open=is_open,
        off=still_stands(claim) if is_open else "",
    )


def _facts(claim: RecordClaim) -> Iterator[tuple[str, str]]:
    """What is known of the mark, in pairs of what and how."""
    event = claim.event
    entries = entries_of(event)
    state, person = state_of(event, entries), people_of(event, entries).get(str(claim.entry_id))
    own = next((entry for entry in state.entries if entry.line.entry == str(claim.entry_id)), None)
    yield _("Book"), claim.book.name
    yield _("To be beaten"), former_record(claim)
    if person is not None:
        yield _("Athlete"), _("%(name)s, %(school)s, bib %(bib)s") % {
            "name": person.name, "school": person.school, "bib": person.bib,
        }  # fmt: skip
    yield _("Trial"), _trial(claim)
    if own is not None:
        if board := _board(own, claim):
            yield _("Board"), board
        if own.series.trials:
            # A wind stands in brackets; any other hyphen is a pass, or parts feet from inches.
            yield _("Series"), show_series(own.series, Unit(event.meet.unit)).replace("(-", f"({with_minus('-')}")
    sand = sand_cm_of(event)
    if sand:
        yield _("Sand"), _("%(length)s m long") % {"length": f"{sand / 100:g}"}


def _trial(claim: RecordClaim) -> str:
    _entry, round, replacement = claim.turn.split("-")
    words = _("round %(round)s") % {"round": round}
    return words + (_(", replacement trial") if replacement != "0" else "")


def _board(own: EntryState, claim: RecordClaim) -> str:
    _entry, round, replacement = (int(part) for part in claim.turn.split("-"))
    for turn in own.turns:
        if (turn.turn.round, turn.turn.replacement) == (round, replacement) and turn.trial is not None:
            board_cm = turn.trial.board_cm or own.board_cm
            return _("%(distance)s m from the sand") % {"distance": f"{board_cm / 100:g}"} if board_cm else ""
    return ""


def _beaten_by(claim: RecordClaim) -> Iterator[str]:
    """Longer claims on the same book in the same event: this one was a record until then."""
    later = (
        RecordClaim.objects.filter(book=claim.book, event=claim.event, mark__gt=claim.mark)
        .exclude(state__in=(RecordClaim.State.REFUSED, RecordClaim.State.WITHDRAWN))
        .select_related("entry__athlete", "book")
        .order_by("mark")
    )
    for one in later:
        yield _("%(mark)s by bib %(bib)s, %(name)s") % {
            "mark": shown_mark(one), "bib": one.entry.bib, "name": one.entry.athlete,
        }  # fmt: skip


def claim_of(meet: Meet, claim_id: int) -> RecordClaim | None:
    return (
        RecordClaim.objects.filter(pk=claim_id, event__meet=meet)
        .select_related("book__school", "event__meet", "entry__athlete__school", "record")
        .first()
    )


def claim_sheet(claim: RecordClaim, now: datetime) -> ClaimSheet:
    """The form for officials to sign, with what is known filled in."""
    meet, page = claim.event.meet, claim_page(claim)
    row = page.row
    about = About(
        meet=meet.name,
        event=claim.event.name,
        date=full_date(meet.date),
        pit=meet.venue,
        version=_("claim %(number)d") % {"number": claim.pk},
        printed=printed_at(now, meet.time_zone),
        paper=meet.paper,
    )
    decided = ""
    if claim.decided_at:
        when = date_format(localtime(claim.decided_at), "j F Y, H:i")
        decided = _("%(state)s by %(who)s, %(when)s") % {
            "state": row.state_words, "who": claim.decided_by, "when": when,
        }  # fmt: skip
    return ClaimSheet(
        about=about,
        says=f"{row.what[:1].upper()}{row.what[1:]}",
        mark=row.mark,
        wind=row.wind,
        name=row.name,
        school=row.school,
        bib=row.bib,
        facts=tuple((what, how) for what, how in page.facts if what != _("Athlete")),
        needs_wind=page.needs_wind,
        board_by=claim.board_confirmed_by,
        measured_by=claim.measured_confirmed_by,
        wind_by=claim.wind_confirmed_by,
        decided=decided,
        decision=claim.decision,
    )


def former_record(claim: RecordClaim) -> str:
    """What the claim has to beat, in words: what stood before the event."""
    event = claim.event
    lines = [
        line
        for line in books.lines_for(event).filter(book=claim.book)
        if getattr(line, "claim", None) is None or line.claim.event_id != event.pk
    ]
    standing = books.standing(lines)
    if not standing:
        return _("none stands in the book")
    first, unit = standing[0], Unit(claim.book.unit)
    wind = books.wind_of(first)
    mark = f"{books.marked(show_mark(first.mark, unit), wind)} {wind_words(wind)}"
    holders = "; ".join(", ".join(part for part in (one.holder, one.school, str(one.year)) if part) for one in standing)
    return f"{mark}, {holders}"
