"""Team standings of a meet: every school's points from the places as they stand, and what they are made of."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from athletes.models import School
from meets.entries.rules import meet_rules
from meets.models import Entry, Event, Meet
from meets.running.states import EventNow, states_of
from scoring.rulesets import RuleSet
from scoring.standings import Penalty, Ties, team_totals
from scoring.state import EventState
from scoring.teams import EntryPoints, OverLimit, ScoringLine, event_points, match_points

FRACTIONS = {Fraction(1, 2): "½", Fraction(1, 3): "⅓", Fraction(2, 3): "⅔", Fraction(1, 4): "¼", Fraction(3, 4): "¾"}


@dataclass(frozen=True, slots=True)
class PointsLine:
    """One line of a school's total; a penalty has no event and a reason."""

    event: str
    event_id: int | None
    bib: str
    name: str
    place: int | None
    table: str
    points: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class SchoolStanding:
    """A school's place and points with its lines and its points by event id."""

    place: int
    code: str
    name: str
    points: str
    lines: tuple[PointsLine, ...]
    by_event: dict[int, str]


@dataclass(frozen=True, slots=True)
class Standings:
    """The team standings; `finished` of `total` events are over, those in `still_open` count as they stand."""

    schools: tuple[SchoolStanding, ...]
    events: tuple[tuple[int, str], ...]
    finished: int
    total: int
    still_open: tuple[str, ...] = ()


def standings_of(meet: Meet, events: Sequence[EventNow] | None = None) -> Standings:
    """Every school that has an entry, best first. Points of events in progress are those of the places now.

    `events`: all of the meet, where they are known, or are to be taken as somebody else sees them.
    """
    events = states_of(meet) if events is None else events
    schools = dict(School.objects.filter(athletes__entries__event__meet=meet).distinct().values_list("code", "name"))
    rules = meet_rules(meet)
    in_match = meet.schools_in_match or len(schools)
    scored: dict[str, tuple[EntryPoints, ...]] = {}
    people: dict[str, Entry] = {}
    for now in events:
        people |= {str(entry.pk): entry for entry in now.entries}
        scored[str(now.event.pk)] = points_in(now.state, in_match)
    still_open = tuple(now.event.name for now in events if not now.state.stage.is_over)
    penalties = list(meet.penalties.select_related("school"))
    taken = [Penalty(penalty.school.code, penalty.points, penalty.reason) for penalty in penalties]
    called = {penalty.school.code: penalty.school.name for penalty in penalties} | schools
    totals = team_totals(scored, schools=schools, penalties=taken, ties=Ties(rules.equal_totals))
    names = {str(now.event.pk): now.event.name for now in events}
    return Standings(
        tuple(_standing(total, called, names, people) for total in totals),
        tuple((now.event.pk, now.event.name) for now in events),
        len(events) - len(still_open),
        len(events),
        still_open,
    )


def points_of(event: Event, state: EventState, schools_in_match: int) -> dict[str, str]:
    """Points of each entry of one event, as shown; entries without points are left out."""
    scored = points_in(state, schools_in_match)
    return {entry.entry: show_points(entry.points) for entry in scored if entry.points}


def schools_in_match(meet: Meet) -> int:
    """How many schools are in the match: as set, else those with an entry."""
    if meet.schools_in_match:
        return meet.schools_in_match
    return School.objects.filter(athletes__entries__event__meet=meet).distinct().count()


def points_in(state: EventState, in_match: int) -> tuple[EntryPoints, ...]:
    """The points of an event by the places and the rules as they stand, each impairment class scored for itself."""
    entries = {entry.line.entry: entry for entry in state.entries}
    classes: dict[str, list[ScoringLine]] = defaultdict(list)
    for placed in state.places:
        line = entries[placed.entry].line
        classes[line.klass].append(
            ScoringLine(
                placed.entry,
                line.school,
                line.string,
                placed.place,
                placed.guest,
                placed.best is not None,
                placed.status not in ("DNS", "DQ"),
            )
        )
    return tuple(scored for lines in classes.values() for scored in _points_of_class(lines, state.rules, in_match))


def _points_of_class(lines: list[ScoringLine], rules: RuleSet, in_match: int) -> tuple[EntryPoints, ...]:
    return event_points(
        lines,
        points=match_points(in_match) if rules.points_by_schools else rules.points,
        b_points=rules.b_points if rules.b_table else (),
        scorers_per_school=rules.scorers_per_school,
        over_limit=OverLimit(rules.over_limit),
        better_is_a=rules.better_is_a,
        lone_b_moves_up=rules.lone_b_moves_up,
    )


def show_points(points: Fraction) -> str:
    """Exact points for people: 7, 7½, 6⅓, 2 3/7; below zero for a penalty."""
    sign, size = ("-", -points) if points < 0 else ("", points)
    whole, rest = divmod(size, 1)
    if not rest:
        return f"{sign}{whole}"
    part = FRACTIONS.get(rest, f" {rest.numerator}/{rest.denominator}")
    return f"{sign}{whole if whole else ''}{part}".strip()


def _standing(total, schools: dict[str, str], names: dict[str, str], people: dict[str, Entry]) -> SchoolStanding:
    by_event: dict[str, Fraction] = {}
    lines = []
    for line in total.lines:
        person = people.get(line.entry)
        by_event[line.event] = by_event.get(line.event, Fraction(0)) + line.points
        lines.append(
            PointsLine(
                names.get(line.event, ""),
                int(line.event) if line.event else None,
                person.bib if person else "",
                str(person.athlete) if person else "",
                line.position,
                line.table,
                show_points(line.points),
                line.reason,
            )
        )
    shown = {int(event): show_points(points) for event, points in by_event.items() if event}
    name = schools.get(total.school, total.school)
    return SchoolStanding(total.place, total.school, name, show_points(total.points), tuple(lines), shown)
