"""A meet made from an entry file: the events and schools that it names, two pits, boards and sessions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from athletes.models import Discipline, School
from athletes.reading.names import folded, tidy_text
from athletes.reading.table import Formula, Line, Table, Unreadable, shown
from meets.entries.columns import Columns, Field, match_columns
from meets.entries.drafting import TOTAL
from meets.entries.event_names import EventName, parse_event_name
from meets.entries.finding import CODE, LONGEST_SCHOOL, made_code
from meets.models import Event, Meet, Pit, PitSession, SessionPart
from scoring.age_schemes import AgeScheme, NotAnAge
from scoring.age_schemes import scheme as age_scheme_of
from scoring.boards import LONG_JUMP_BOARD_CM, SCHOOL_TRIPLE_JUMP_BOARDS_CM
from scoring.marks import Unit
from scoring.rulesets import rule_set as rule_set_of

# US schools: long jump 8 ft, triple jump 24 and 32 ft (a summary of the rules of US schools).
US_LONG_JUMP_BOARDS_CM = (244,)
US_TRIPLE_JUMP_BOARDS_CM = (732, 975)
SAND_CM = 800


@dataclass(frozen=True, slots=True)
class PlannedEvent:
    name: str
    parts: EventName


@dataclass(frozen=True, slots=True)
class Programme:
    """What a meet is to hold, and which schools come to it."""

    events: tuple[PlannedEvent, ...]
    schools: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Created:
    meet: Meet
    events: int
    schools_added: int
    schools_known: int
    sessions: int


def programme_of(table: Table, ages: AgeScheme) -> Programme:
    """The events and schools of an entry file. Raises Unreadable for an event that cannot be made."""
    columns = match_columns(table, required=(Field.EVENT,))
    events: dict[tuple[str, str, str], PlannedEvent] = {}
    schools: dict[str, tuple[str, str]] = {}
    for line in table.lines:
        texts = {
            field: _text(line, columns, field) for field in (Field.CODE, Field.SCHOOL, Field.EVENT, Field.AGE_GROUP)
        }
        if not texts[Field.EVENT] or TOTAL.match(texts[Field.EVENT]):
            continue
        event = _event(table, columns, line, texts[Field.EVENT], texts[Field.AGE_GROUP], ages)
        events.setdefault((event.parts.age_group, event.parts.category, event.parts.discipline), event)
        if school := _school(texts[Field.CODE], texts[Field.SCHOOL], schools):
            schools.setdefault(school[0].casefold(), school)
    if not events:
        raise Unreadable(table.name, _("no line names an event."), line=table.heading_line)
    return Programme(tuple(events.values()), tuple(schools.values()))


def _text(line: Line, columns: Columns, field: Field) -> str:
    value = line.at(columns.of[field]) if field in columns.of else ""
    return "" if isinstance(value, Formula) else tidy_text(shown(value))


def _event(table: Table, columns: Columns, line: Line, text: str, age_group: str, ages: AgeScheme) -> PlannedEvent:
    said = parse_event_name(text)
    name = text
    if age_group and not said.age_group:
        said = EventName(parse_event_name(age_group).age_group, said.category, said.discipline, said.rest)
        name = f"{said.age_group} {text}"
    column = table.column_name(columns.of[Field.EVENT])
    if not said.is_whole:
        says = _(
            '"%(text)s" is no whole event; expected age group, girls or boys, and long or triple jump, '
            "for example: U15 Girls Long Jump."
        )
        raise Unreadable(table.name, says % {"text": text}, line=line.number, column=column)
    try:
        group = ages.group(said.age_group)
    except NotAnAge as problem:
        groups = ", ".join(group.key for group in ages.groups)
        says = _('"%(text)s": no age group of the scheme %(scheme)s; expected one of %(groups)s.')
        raise Unreadable(
            table.name, says % {"text": text, "scheme": ages.key, "groups": groups}, line=line.number, column=column
        ) from problem
    return PlannedEvent(name, EventName(group.key, said.category, said.discipline))


def _school(code: str, name: str, schools: dict[str, tuple[str, str]]) -> tuple[str, str] | None:
    """Code and name; a code made of the name where the file has none."""
    if code and CODE.fullmatch(code.upper()):
        return code.upper(), (name or code.upper())[:LONGEST_SCHOOL]
    if code or not name:
        return None
    same = next((school for school in schools.values() if folded(school[1]) == folded(name)), None)
    if same is not None:
        return same
    return made_code(name, schools), name[:LONGEST_SCHOOL]


@transaction.atomic
def create_meet(
    *,
    slug: str,
    name: str,
    date: date,
    age_scheme: str,
    rule_set: str,
    programme: Programme,
    unit: Unit = Unit.CM,
    age_date: date | None = None,
    by: str,
    now: datetime,
) -> Created:
    """Make a meet ready for entries and for the draw. Raises ValidationError, naming the field, and makes nothing.

    Schools that are known keep their name. Each pit gets one session, which goes through its events one by one.
    """
    age_scheme_of(age_scheme)
    rule_set_of(rule_set)
    meet = Meet(
        slug=slug,
        name=name,
        date=date,
        age_scheme=age_scheme,
        rule_set=rule_set,
        unit=unit.value,
        age_date=age_date,
        schools_in_match=len(programme.schools) or None,
    )
    meet.full_clean()
    meet.save()
    known = {code.casefold() for code in School.objects.values_list("code", flat=True)}
    new = [School(code=code, name=school) for code, school in programme.schools if code.casefold() not in known]
    School.objects.bulk_create(new)
    events = Event.objects.bulk_create(_events(meet, programme.events))
    sessions = _pits_and_sessions(meet, events)
    return Created(meet, len(events), len(new), len(programme.schools) - len(new), sessions)


def boards_of(discipline: str, unit: Unit) -> tuple[int, ...]:
    """The boards that a school pit usually has, cm."""
    triple = discipline == Discipline.TRIPLE_JUMP
    if unit is Unit.QUARTER_INCH:
        return US_TRIPLE_JUMP_BOARDS_CM if triple else US_LONG_JUMP_BOARDS_CM
    return SCHOOL_TRIPLE_JUMP_BOARDS_CM if triple else LONG_JUMP_BOARD_CM[:1]


def _events(meet: Meet, planned: Iterable[PlannedEvent]) -> list[Event]:
    made = []
    for position, event in enumerate(planned, 1):
        parts = event.parts
        one = Event(
            meet=meet,
            name=event.name,
            discipline=parts.discipline,
            category=parts.category,
            age_group=parts.age_group,
            boards_cm=list(boards_of(parts.discipline, Unit(meet.unit))),
            position=position,
        )
        try:
            one.clean_fields(exclude=["meet"])
        except ValidationError as problem:
            raise ValidationError({"events": [f"{event.name}: {text}" for text in problem.messages]}) from problem
        made.append(one)
    return made


def _pits_and_sessions(meet: Meet, events: Sequence[Event]) -> int:
    """Two pits. Girls at one and boys at the other, so that nobody is wanted at both; else long and triple jump."""
    unit = Unit(meet.unit)
    boards = sorted({board for event in events for board in boards_of(event.discipline, unit)})
    pits = Pit.objects.bulk_create(
        [Pit(meet=meet, name=_("Pit %(number)s") % {"number": n}, sand_cm=SAND_CM, boards_cm=boards) for n in (1, 2)]
    )
    for part in (
        lambda event: event.category == Event.Category.BOYS,
        lambda event: event.discipline == Discipline.TRIPLE_JUMP,
    ):
        split = [[event for event in events if not part(event)], [event for event in events if part(event)]]
        if all(split):
            break
    else:
        split = [list(events[: -(-len(events) // 2)]), list(events[-(-len(events) // 2) :])]
    used = [(pit, own) for pit, own in zip(pits, split, strict=True) if own]
    sessions = PitSession.objects.bulk_create([PitSession(pit=pit, name=pit.name) for pit, _own in used])
    SessionPart.objects.bulk_create(
        [
            SessionPart(session=session, event=event, block=block, position=0)
            for session, (_pit, own) in zip(sessions, used, strict=True)
            for block, event in enumerate(own, 1)
        ]
    )
    return len(sessions)
