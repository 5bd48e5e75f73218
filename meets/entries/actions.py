"""Changes to the entries of a meet: each one transaction, which does all of it or nothing."""

from __future__ import annotations

import logging
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from athletes.models import Athlete, School
from athletes.reading.table import Line, Table
from meets.entries.bibs import assign_bibs
from meets.entries.changing import (
    change_entry,
    change_entry_and_athlete,
    correct_athlete,
    restore_entry,
    withdraw_entry,
)
from meets.entries.checking import check_table
from meets.entries.columns import HEADINGS, Field
from meets.entries.known import athletes_of, basis_of
from meets.entries.limits import People
from meets.entries.outcome import STORABLE, CheckedFile, CheckedLine, NewSchool, Verdict, Wanted
from meets.entries.programme import create_meet
from meets.entries.refused import Refused
from meets.models import Entry, Meet

__all__ = [
    "Added",
    "Imported",
    "Refused",
    "add_entry",
    "add_schools",
    "assign_bibs",
    "change_entry",
    "change_entry_and_athlete",
    "correct_athlete",
    "create_meet",
    "import_entries",
    "restore_entry",
    "withdraw_entry",
]

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import stored: the entries in the order of the file, and how many athletes were new."""

    entries: tuple[Entry, ...]
    lines: tuple[int, ...]
    athletes_added: int

    @property
    def stored(self) -> int:
        return len(self.entries)


@dataclass(frozen=True, slots=True)
class Added:
    """A single entry after its check; `entry` is None where it was refused or needs consent."""

    line: CheckedLine
    entry: Entry | None


@transaction.atomic
def import_entries(
    *,
    meet: Meet,
    checked: CheckedFile,
    chosen_lines: Collection[int] | None = None,
    accept_warnings: bool = False,
    confirm_late: bool | None = None,
    by: str,
    now: datetime,
) -> Imported:
    """Store the accepted lines of a checked file, or those of them that are chosen; all of them or none.

    `accept_warnings` is the consent to the lines that are asked about, and to entries after the deadline unless
    `confirm_late` says otherwise. Without a choice, lines asked about are left out when consent is not given.
    Athletes who are known are used again. Raises Refused, with nothing stored, when the entries have changed since
    the check, after the deadline, and for a chosen line that cannot be stored.
    """
    Meet.objects.select_for_update().get(pk=meet.pk)
    if checked.meet_pk != meet.pk or checked.basis != basis_of(meet):
        raise Refused(_("The entries of the meet have changed since the file was checked. Check it again."))
    late = meet.entry_deadline is not None and now > meet.entry_deadline
    if late and not (accept_warnings if confirm_late is None else confirm_late):
        raise Refused(_("Entries are closed. Confirm that these are taken late."))
    lines = _lines_to_store(checked, chosen_lines, accept_warnings)
    wanted = [line.wanted for line in lines if line.wanted is not None]
    athletes, added = _athletes(wanted)
    entries = Entry.objects.bulk_create([_entry(one, athletes[_who(one)]) for one in wanted])
    log.info("%s entries stored in meet %s by %s", len(entries), meet.slug, by)
    return Imported(tuple(entries), tuple(line.number for line in lines), added)


def _lines_to_store(
    checked: CheckedFile, chosen: Collection[int] | None, accept_warnings: bool
) -> Sequence[CheckedLine]:
    storable = {line.number: line for line in checked.lines if line.verdict in STORABLE}
    if chosen is None:
        return [line for line in storable.values() if accept_warnings or line.verdict is not Verdict.ASKED]
    if unknown := sorted(set(chosen) - set(storable)):
        says = _("These lines cannot be stored: %(lines)s.")
        raise Refused(says % {"lines": ", ".join(map(str, unknown))})
    lines = [storable[number] for number in sorted(chosen)]
    asked = [line.number for line in lines if line.verdict is Verdict.ASKED]
    if asked and not accept_warnings:
        says = _("These lines are yours to decide: %(lines)s.")
        raise Refused(says % {"lines": ", ".join(map(str, asked))})
    return lines


def _who(wanted: Wanted) -> tuple[object, ...]:
    return wanted.school_pk, wanted.first_name, wanted.last_name, wanted.born


def _athletes(wanted: Iterable[Wanted]) -> tuple[dict[tuple[object, ...], int], int]:
    """The key of every athlete, found or made. Looked up again here: another meet may just have added them."""
    wanted = list(wanted)
    by_who = {_who(one): one for one in wanted}
    not_public = {_who(one) for one in wanted if one.not_public}
    people = People(athletes_of({one.school_pk for one in by_who.values()}), ())
    found: dict[tuple[object, ...], int] = {}
    new: dict[tuple[object, ...], Athlete] = {}
    for who, one in by_who.items():
        person = people.find(one.school_pk, one.first_name, one.last_name, one.born)
        if person is not None and person.pk is not None:
            found[who] = person.pk
            continue
        athlete = Athlete(
            school_id=one.school_pk,
            first_name=one.first_name,
            last_name=one.last_name,
            born=one.born,
            sex=one.sex,
            school_year=one.school_year,
            say_it=one.say_it,
            not_public=who in not_public,
        )
        athlete.clean_fields(exclude=["school"])
        new[who] = athlete
    for who, athlete in zip(new, Athlete.objects.bulk_create(new.values()), strict=True):
        found[who] = athlete.pk
    # An empty cell says nothing: a name is shown again only by somebody who unticks the box at the desk.
    if known := [found[who] for who in not_public - new.keys()]:
        Athlete.objects.filter(pk__in=known).update(not_public=True)
    return found, len(new)


def _entry(wanted: Wanted, athlete_pk: int) -> Entry:
    entry = Entry(
        event_id=wanted.event_pk,
        athlete_id=athlete_pk,
        string=wanted.string,
        guest=wanted.guest,
        klass=wanted.klass,
        seed_mark=wanted.seed_mark,
        seed_wind_tenths=wanted.seed_wind_tenths,
        seed_date=wanted.seed_date,
        board_cm=wanted.board_cm,
    )
    entry.clean_fields(exclude=["event", "athlete"])
    return entry


@transaction.atomic
def add_entry(
    *, meet: Meet, values: Mapping[Field, str], accept_warnings: bool = False, by: str, now: datetime
) -> Added:
    """Check and store one entry, given as the cells of a line. Late ones are the organiser's own decision here."""
    fields = list(Field)
    table = Table(
        name=meet.name,
        headings=tuple(str(HEADINGS[field]) for field in fields),
        heading_line=1,
        lines=(Line(2, tuple(values.get(field, "") for field in fields)),),
    )
    checked = check_table(table, meet, now=now)
    line = checked.lines[0]
    if line.verdict not in STORABLE or (line.verdict is Verdict.ASKED and not accept_warnings):
        return Added(line, None)
    imported = import_entries(
        meet=meet, checked=checked, accept_warnings=accept_warnings, confirm_late=True, by=by, now=now
    )
    return Added(line, imported.entries[0])


@transaction.atomic
def add_schools(*, schools: Iterable[NewSchool], by: str, now: datetime) -> int:
    """Add the schools whose code nobody has yet; says how many."""
    known = {code.casefold() for code in School.objects.values_list("code", flat=True)}
    new = []
    for school in schools:
        if school.code.casefold() not in known:
            known.add(school.code.casefold())
            new.append(School(code=school.code, name=school.name))
            new[-1].clean_fields()
    School.objects.bulk_create(new)
    log.info("%s schools added by %s", len(new), by)
    return len(new)
