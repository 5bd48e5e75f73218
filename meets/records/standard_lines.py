"""Standards as people give them, on the page or in a file: from cells to values, or what is wrong with them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

from athletes.models import Discipline
from athletes.reading.names import folded, tidy_text
from athletes.reading.table import Broken, Formula, Value, shown
from meets.entries.event_names import parse_event_name
from meets.entries.rules import meet_rules
from meets.entries.values import Wrong, read_mark
from meets.models import Meet
from meets.records.words import kind_words
from scoring.age_schemes import SCHEMES
from scoring.marks import Unit, show_mark
from scoring.rulesets import RuleSet

LONGEST_NAME = 40


class Column(StrEnum):
    """What a line of a table of standards says."""

    NAME = "name"
    DISCIPLINE = "discipline"
    CATEGORY = "category"
    AGE_GROUP = "age_group"
    MARK = "mark"


HEADINGS = {
    Column.NAME: lazy("Standard"),
    Column.DISCIPLINE: lazy("Jump"),
    Column.CATEGORY: lazy("For"),
    Column.AGE_GROUP: lazy("Age group"),
    Column.MARK: lazy("Mark"),
}


@dataclass(frozen=True, slots=True)
class GivenStandard:
    """One standard as it was given. `line` says where; an empty category or age group is for all."""

    line: int
    name: str
    discipline: str
    category: str
    age_group: str
    mark: int

    @property
    def key(self) -> tuple[str, str, str, str]:
        return (self.name, self.discipline, self.category, self.age_group)


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with a cell: its line, its column ('' for the whole line), a sentence."""

    line: int
    column: Column | str
    says: str


@dataclass(frozen=True, slots=True)
class Given:
    """What was read. With any problem nothing may be stored; `warnings` are sentences to think about."""

    standards: tuple[GivenStandard, ...]
    problems: tuple[Problem, ...]
    warnings: tuple[str, ...]


Cells = dict[Column, Value]


def read_standards(lines: Iterable[tuple[int, Cells]], meet: Meet) -> Given:
    """Lines of cells, each with its number. Lines with nothing in them are left out."""
    unit, rules = Unit(meet.unit), meet_rules(meet)
    found: list[GivenStandard] = []
    problems: list[Problem] = []
    for number, cells in lines:
        if not any(shown(value).strip() for value in cells.values()):
            continue
        values, wrong = _values(number, cells, meet, unit, rules)
        problems += wrong
        if not wrong:
            found.append(GivenStandard(number, **values))
    problems += _twice(found)
    problems.sort(key=lambda problem: problem.line)
    return Given(tuple(found), tuple(problems), tuple(_descending(found, unit)) if not problems else ())


def _values(
    number: int, cells: Cells, meet: Meet, unit: Unit, rules: RuleSet
) -> tuple[dict[str, object], list[Problem]]:
    values: dict[str, object] = {}
    wrong = []
    for column in Column:
        value = cells.get(column, "")
        try:
            if isinstance(value, Formula | Broken):
                raise Wrong(
                    _('the cell holds a formula or an error ("%(text)s"); type the value.') % {"text": value.text}
                )
            values[column] = _read(column, value, values, meet, unit, rules)
        except Wrong as problem:
            wrong.append(Problem(number, column, str(problem)))
    return values, wrong


def _read(column: Column, value: Value, before: dict[str, object], meet: Meet, unit: Unit, rules: RuleSet) -> object:
    text = tidy_text(shown(value))
    match column:
        case Column.NAME:
            return _name(text)
        case Column.DISCIPLINE:
            return _discipline(text)
        case Column.CATEGORY:
            return _category(text)
        case Column.AGE_GROUP:
            return _age_group(text, meet)
        case Column.MARK:
            triple = before.get(Column.DISCIPLINE) == Discipline.TRIPLE_JUMP
            longest = rules.longest_cm(triple=triple or Column.DISCIPLINE not in before)
            mark = read_mark(value, unit, longest)
            if mark is None:
                example = show_mark(543) if unit is Unit.CM else "16-04.50"
                raise Wrong(_("the mark is missing; expected a distance, for example %(mark)s.") % {"mark": example})
            return mark


def _name(text: str) -> str:
    if not text:
        raise Wrong(_("the name of the standard is missing, for example Bronze."))
    if len(text) > LONGEST_NAME:
        raise Wrong(_("the name has more than %(count)s letters; shorten it.") % {"count": LONGEST_NAME})
    return text


def _discipline(text: str) -> str:
    found = parse_event_name(text).discipline
    if not found:
        expected = _("long jump or triple jump")
        if not text:
            raise Wrong(_("the jump is missing; expected %(expected)s.") % {"expected": expected})
        raise Wrong(_('"%(text)s" is no jump; expected %(expected)s.') % {"text": text, "expected": expected})
    return str(found)


FOR_ALL = frozenset(("", "-", "all", "any", "everybody", "both", "*"))


def _category(text: str) -> str:
    if text.casefold() in FOR_ALL:
        return ""
    found = parse_event_name(text).category
    if not found:
        raise Wrong(_('"%(text)s" is not understood; expected girls, boys, or an empty cell for all.') % {"text": text})
    return str(found)


def _age_group(text: str, meet: Meet) -> str:
    if text.casefold() in FOR_ALL:
        return ""
    groups = [group.key for group in SCHEMES[meet.age_scheme].groups]
    written = {folded(key): key for key in groups}
    found = written.get(folded(text)) or written.get(folded(parse_event_name(text).age_group))
    if found is None:
        raise Wrong(
            _('"%(text)s" is no age group of this meet; expected %(groups)s, or an empty cell for all.')
            % {"text": text, "groups": ", ".join(groups)}
        )
    return found


def _twice(found: Sequence[GivenStandard]) -> Iterator[Problem]:
    first: dict[tuple[str, str, str, str], int] = {}
    for one in found:
        key = (folded(one.name), *one.key[1:])
        if key in first:
            says = _("the same standard stands in line %(line)s already; keep one of them.") % {"line": first[key]}
            yield Problem(one.line, "", says)
        first.setdefault(key, one.line)


def _descending(found: Sequence[GivenStandard], unit: Unit) -> Iterator[str]:
    """Steps that are given as higher ones and are not: in the order of the lines, for the same jump and group."""
    last: dict[tuple[str, str, str], GivenStandard] = {}
    for one in found:
        before = last.get(one.key[1:])
        if before is not None and one.mark <= before.mark:
            yield _("%(name)s (%(mark)s, %(whom)s) is no longer than %(before)s (%(other)s) before it.") % {
                "name": one.name,
                "mark": show_mark(one.mark, unit),
                "whom": kind_words(*one.key[1:]),
                "before": before.name,
                "other": show_mark(before.mark, unit),
            }
        last[one.key[1:]] = one
