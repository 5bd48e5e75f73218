"""A line of the file as a draft of an entry: its cells read one by one, with every reason that they give."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from athletes.reading.names import tidy_text
from athletes.reading.table import Broken, Formula, Line, Table, Value, shown
from meets.entries import values as read
from meets.entries.columns import HEADINGS, Columns, Field
from meets.entries.finding import Finder
from meets.entries.known import Known, KnownEvent, KnownSchool
from meets.entries.outcome import Reason, Weight
from meets.entries.rules import meet_rules
from scoring.marks import Unit

TOTAL = re.compile(r"(?:sub|grand )?(?:total|sum|count|number)\b", re.IGNORECASE)
LONGEST_SCHOOL_YEAR, LONGEST_SAY_IT = 12, 80

T = TypeVar("T")


@dataclass(slots=True)
class Draft:
    """What could be read of a line; None or '' where it could not."""

    line: Line
    reasons: list[Reason] = field(default_factory=list)
    is_entry: bool = False
    school: KnownSchool | None = None
    event: KnownEvent | None = None
    first_name: str = ""
    last_name: str = ""
    born: date | None = None
    sex: str = ""
    string: str = ""
    guest: bool = False
    klass: str = ""
    seed_mark: int | None = None
    seed_wind_tenths: int | None = None
    seed_date: date | None = None
    board_cm: int | None = None
    board_given: bool = False
    school_year: str = ""
    say_it: str = ""
    not_public: bool = False

    @property
    def refused(self) -> bool:
        return any(reason.weight is Weight.REFUSAL for reason in self.reasons)


class Drafter:
    """Reads the lines of one table for one meet."""

    def __init__(self, table: Table, columns: Columns, known: Known, today: date) -> None:
        self._table, self._known, self._today = table, known, today
        self._of = columns.of
        self._heading = {
            field: table.column_name(columns.of[field]) if field in columns.of else str(HEADINGS[field])
            for field in Field
        }
        if Field.CODE not in columns.of:
            self._heading[Field.CODE] = self._heading[Field.SCHOOL]
        self._headed = {index for index, heading in enumerate(table.headings) if heading}
        # Meets in feet and inches are American ones, where the month is written first.
        self._month_first = known.unit is Unit.QUARTER_INCH
        self._against_order = self._line_against_order()
        self.finder = Finder(known, {field.value: heading for field, heading in self._heading.items()})
        rules = meet_rules(known.meet)
        self._longest_cm = max(rules.longest_long_jump_cm, rules.longest_triple_jump_cm)

    def _line_against_order(self) -> int | None:
        """The first line whose date of birth is one only with day and month changed over, if no line speaks against.

        Where others can be read in the expected order alone, that one line is a slip.
        """
        found = None
        for line in self._table.lines:
            value = self._at(line, Field.BORN)
            try:
                born = read.read_date(value, month_first=self._month_first, this_year=self._today.year)
            except read.Wrong:
                found = found or (line.number if self._other_order(value) else None)
            else:
                if read.shows_its_order(value) and self._other_order(value) is None and born.day != born.month:
                    return None
        return found

    def _other_order(self, value: Value) -> date | None:
        return read.in_other_order(value, month_first=self._month_first, this_year=self._today.year)

    def heading(self, field: Field) -> str:
        return self._heading[field]

    def text(self, draft: Draft, field: Field) -> str:
        """What stands in the file, tidied."""
        return tidy_text(shown(self._at(draft.line, field)))

    def draft(self, line: Line) -> Draft:
        draft = Draft(line)
        if line.is_empty:
            return draft
        if self._is_no_entry(line):
            first = next(shown(value) for value in line.values if shown(value))
            if TOTAL.match(tidy_text(first)):
                says = _("a total line is no entry.")
            else:
                says = _("this is no entry: it names no athlete and no event.")
            draft.reasons.append(Reason(Weight.REFUSAL, says))
            return draft
        draft.is_entry = True
        self._refuse_formulas(draft)
        self._mention_extra_cells(draft)
        self._person(draft)
        self._where(draft)
        self._extras(draft)
        return draft

    def _at(self, line: Line, field: Field) -> Value:
        column = self._of.get(field)
        return "" if column is None else line.at(column)

    def _is_no_entry(self, line: Line) -> bool:
        return not any(
            tidy_text(shown(self._at(line, field)))
            for field in (Field.FIRST_NAME, Field.LAST_NAME, Field.BORN, Field.EVENT)
        )

    def _refuse_formulas(self, draft: Draft) -> None:
        for column, value in enumerate(draft.line.values):
            if isinstance(value, Formula):
                says = _("the cell is a formula (%(text)s), whose result is never taken; type the value itself.")
            elif isinstance(value, Broken):
                says = _("the cell shows an error (%(text)s); type the value itself.")
            else:
                continue
            text = value.text if len(value.text) <= 60 else f"{value.text[:60]}…"
            draft.reasons.append(Reason(Weight.REFUSAL, says % {"text": text}, self._table.column_name(column)))

    def _mention_extra_cells(self, draft: Draft) -> None:
        for column, value in enumerate(draft.line.values):
            if column not in self._headed and not isinstance(value, Formula | Broken) and shown(value).strip():
                says = _('"%(text)s" stands under no heading and is not read.') % {"text": shown(value)}
                draft.reasons.append(Reason(Weight.ADVICE, says, self._table.column_name(column)))

    def _read(self, draft: Draft, field: Field, reader: Callable[[Value], T], otherwise: T, unclear: str = "") -> T:
        """The cell's value; else a refusal, or a question where the line can do without it (`unclear` says how)."""
        value = self._at(draft.line, field)
        if isinstance(value, Formula | Broken):
            return otherwise  # refused already
        try:
            return reader(value)
        except read.Wrong as problem:
            says, weight = str(problem), Weight.REFUSAL
            if unclear and isinstance(problem, read.Unclear):
                says, weight = f"{says} {unclear}", Weight.QUESTION
            draft.reasons.append(Reason(weight, says, self._heading[field]))
            return otherwise

    def _person(self, draft: Draft) -> None:
        draft.first_name = self._read(draft, Field.FIRST_NAME, lambda v: read.read_name(v, initials=True), "")
        draft.last_name = self._read(draft, Field.LAST_NAME, read.read_name, "")
        draft.born = self._read(draft, Field.BORN, self._born, None)
        born = self._at(draft.line, Field.BORN)
        if draft.born is not None and read.has_short_year(born):
            says = _("the year has two figures; read as %(date)s.") % {"date": date_format(draft.born, "j F Y")}
            draft.reasons.append(Reason(Weight.ADVICE, says, self._heading[Field.BORN]))
        self._doubt_order(draft, born)
        draft.sex = self._read(draft, Field.SEX, read.read_sex, "")

    def _doubt_order(self, draft: Draft, born: Value) -> None:
        """Where one line of a file has the month first, or last, the others that could be read so are asked about."""
        other = self._other_order(born) if draft.born is not None and self._against_order is not None else None
        if other is None:
            return
        says = _(
            "line %(line)s can only have its day and month the other way round, so this may be %(other)s. "
            "Taken as %(date)s if you agree."
        ) % {
            "line": self._against_order,
            "other": date_format(other, "j F Y"),
            "date": date_format(draft.born, "j F Y"),
        }
        draft.reasons.append(Reason(Weight.QUESTION, says, self._heading[Field.BORN]))

    def _born(self, value: Value) -> date:
        if not tidy_text(shown(value)):
            raise read.Wrong(_("the date of birth is missing; without it the age group cannot be checked."))
        born = read.read_date(value, month_first=self._month_first, this_year=self._today.year)
        if born > self._today:
            raise read.Wrong(_('"%(text)s" lies in the future.') % {"text": shown(value)})
        return born

    def _where(self, draft: Draft) -> None:
        line = draft.line
        code, name, event, group = (
            "" if isinstance(value := self._at(line, field), Formula | Broken) else shown(value)
            for field in (Field.CODE, Field.SCHOOL, Field.EVENT, Field.AGE_GROUP)
        )
        if code or name or not isinstance(self._at(line, Field.CODE), Formula | Broken):
            draft.school, reasons = self.finder.school(code, name)
            draft.reasons.extend(reasons)
        if not isinstance(self._at(line, Field.EVENT), Formula | Broken):
            draft.event, reasons = self.finder.event(event, group, draft.sex, draft.born)
            draft.reasons.extend(reasons)

    def _extras(self, draft: Draft) -> None:
        string = tidy_text(shown(self._at(draft.line, Field.STRING))).casefold()
        if string in ("g", "guest"):
            draft.guest = True
        else:
            draft.string = self._read(draft, Field.STRING, read.read_string, "")
            draft.guest = self._read(draft, Field.GUEST, read.read_yes, False)
        if draft.guest:
            draft.string = ""
        longest = draft.event.rules.longest_cm(draft.event.triple) if draft.event else self._longest_cm
        unseeded = _("Entered without a seed mark if you agree.")
        draft.seed_mark = self._read(
            draft, Field.BEST, lambda value: read.read_mark(value, self._known.unit, longest), None, unseeded
        )
        draft.board_cm = self._read(
            draft,
            Field.BOARD,
            lambda value: read.read_board(value, self._known.unit),
            None,
            _("Entered without a board if you agree."),
        )
        draft.board_given = Field.BOARD in self._of
        draft.seed_wind_tenths = self._read(
            draft, Field.BEST_WIND, read.read_wind, None, _("Entered without a wind if you agree.")
        )
        draft.seed_date = self._read(draft, Field.BEST_DATE, self._best_date, None)
        draft.klass = self._read(draft, Field.KLASS, read.read_class, "")
        draft.school_year = self._text(draft, Field.SCHOOL_YEAR, LONGEST_SCHOOL_YEAR)
        draft.say_it = self._text(draft, Field.SAY_IT, LONGEST_SAY_IT)
        draft.not_public = self._read(draft, Field.NOT_PUBLIC, read.read_yes, False)

    def _best_date(self, value: Value) -> date | None:
        if tidy_text(shown(value)).casefold() in read.NO_MARK:
            return None
        on = read.read_date(value, month_first=self._month_first, this_year=self._today.year)
        if on > self._today:
            raise read.Wrong(_('"%(text)s" lies in the future.') % {"text": shown(value)})
        return on

    def _text(self, draft: Draft, field: Field, longest: int) -> str:
        def reader(value: Value) -> str:
            text = tidy_text(shown(value))
            if len(text) > longest:
                raise read.Wrong(_("the text has more than %(count)s letters; shorten it.") % {"count": longest})
            return text

        return self._read(draft, field, reader, "")
