"""What the live pages show: plain values, with held marks left out before anything is made of them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from django.utils import timezone
from django.utils.translation import gettext as _

from meets.board.calling import Called, called_of
from meets.board.drawing import NARROW, WIDE, Drawing
from meets.board.event_drawing import drawing_of
from meets.board.people import Person, people_shown
from meets.board.series import Cell, Line, cell_of, lines_of
from meets.board.status import PACE_QUIET, Status, status_of
from meets.board.together import in_line, parts_beside, who_is_up
from meets.entries.bibs import bib_order
from meets.models import Event, LogRow, Meet, Pit, Publication
from meets.records.reads import RecordLine, records_of
from meets.running.reads import entries_of, state_of, states_of
from meets.running.sessions import sessions_of
from meets.running.team_points import SchoolStanding, standings_of
from scoring.cut import CutProposal
from scoring.event import held_back
from scoring.marks import Unit, show_mark
from scoring.needs import cut_as_it_stands
from scoring.state import EventState, Stage


@dataclass(frozen=True, slots=True)
class LastTrial:
    """The last trial that was written down, as everybody may see it."""

    person: Person
    round: int
    cell: Cell
    at: str


@dataclass(frozen=True, slots=True)
class Flight:
    """A flight of the start list in its order."""

    number: int
    people: tuple[Person, ...]


@dataclass(frozen=True, slots=True)
class EventBoard:
    """One event at one version of its log, for everybody."""

    meet: Meet
    event: Event
    status: Status
    last: LastTrial | None
    called: tuple[Called, ...]
    away: tuple[Person, ...]
    lines: tuple[Line, ...]
    rounds: range
    flights: tuple[Flight, ...]
    cut_words: str
    notes: tuple[str, ...]
    records: tuple[RecordLine, ...]
    drawings: tuple[tuple[str, Drawing], ...]
    has_names: bool

    @property
    def begun(self) -> bool:
        return bool(self.last)

    @property
    def leaders(self) -> tuple[Line, ...]:
        """Those with a mark, best first."""
        return tuple(line for line in self.lines if line.best)

    @property
    def pace_ms(self) -> int:
        return self.status.pace_ms


def event_board(event: Event, *, organiser: bool = False) -> EventBoard:
    """The event as it stands. An organiser sees full names, and how to say them."""
    entries = entries_of(event)
    actual = state_of(event, entries)
    state = held_back(actual)
    unit = Unit(event.meet.unit)
    people = people_shown(entries, event.meet, organiser=organiser)
    newest = event.publications.defer("document", "pdf", "csv").order_by("-version").first()
    status = status_of(event, actual, newest)
    records = records_of(event, full_names=organiser)
    proposal = None if state.stage.is_over else cut_as_it_stands(state)
    queue = in_line(event, state, parts_beside(event))
    lines = lines_of(state, people, unit, proposal.going_on if proposal else None, who_is_up(queue))
    pit = _pit(event, state)
    line = _cut_line(proposal, state, unit)
    bibs = {key: person.bib for key, person in people.items()}
    drawn = ((name, drawing_of(event, state, pit, bibs, line=line, size=size)) for name, size in SIZES)
    return EventBoard(
        meet=event.meet,
        event=event,
        status=status,
        last=_last_trial(event, state, people, unit),
        called=called_of(event, state, queue, people, records) if status.going else (),
        away=tuple(people[key] for key in dict.fromkeys(turn.turn.entry for turn in state.away)),
        lines=lines,
        rounds=range(1, state.rounds + 1),
        flights=_flights(state, people),
        cut_words=_cut_words(proposal),
        notes=tuple(_notes(actual, lines)),
        records=records,
        drawings=tuple((name, drawing) for name, drawing in drawn if drawing is not None),
        has_names=any(person.name for person in people.values()),
    )


SIZES = (("wide", WIDE), ("narrow", NARROW))


def _pit(event: Event, state: EventState) -> Pit | None:
    homes = sessions_of(event, state)
    return homes[0][1].pit if homes else None


def _cut_line(proposal: CutProposal | None, state: EventState, unit: Unit) -> tuple[int, str] | None:
    """The mark of the last who would go on now, for the drawing; None while fewer have a mark than may go on."""
    if proposal is None or len(proposal.going_on) < proposal.how_many:
        return None
    held = [v.entry for v in proposal.verdicts if v.goes_on and not v.guest]
    marks = [best for key in held if (best := state.entry(key).best) is not None]
    if not marks or len(held) < proposal.how_many:
        return None
    words = _("best %(many)d: %(mark)s")
    return min(marks), words % {"many": proposal.how_many, "mark": show_mark(min(marks), unit)}


def _cut_words(proposal: CutProposal | None) -> str:
    if proposal is None:
        return ""
    words = _("The best %(many)d go on after round %(round)d.")
    return words % {"many": proposal.how_many, "round": proposal.after_round}


def _notes(state: EventState, lines: tuple[Line, ...]):
    """What everybody should know about the list; no mark is named in it."""
    reasons = {cell.held for line in lines for cell in line.cells if cell.held}
    if _("under protest") in reasons:
        yield _("A mark is under protest: it is not shown, and places are without it until the referee has decided.")
    if _("being settled by the referee") in reasons:
        yield _("A trial is being settled by the referee: it is not shown, and places are without it until then.")
    if state.no_gauge and not state.stage.is_over:
        yield _("The wind is not measured at the moment.")


def _last_trial(event: Event, state: EventState, people: Mapping[str, Person], unit: Unit) -> LastTrial | None:
    """The newest trial whose turn still stands; a correction of an older one is no new trial."""
    written = LogRow.objects.filter(event=event, kind="jumped", supersedes=[])
    rows = written.order_by("-rev").values_list("values", "at")[:3]
    for values, at in rows:
        entry = next((one for one in state.entries if one.line.entry == values["entry"]), None)
        turns = () if entry is None else entry.turns
        wanted = (values["round"], values.get("replacement", 0))
        turn = next((one for one in turns if (one.turn.round, one.turn.replacement) == wanted), None)
        if turn is None or entry is None or (turn.trial is None and not turn.held) or entry.status == "DQ":
            continue
        clock = f"{timezone.localtime(at):%H:%M}"
        return LastTrial(people[entry.line.entry], turn.turn.round, cell_of(turn, entry, unit), clock)
    return None


def _flights(state: EventState, people: Mapping[str, Person]) -> tuple[Flight, ...]:
    """The start list: as drawn, else everybody by bib."""
    if state.stage is Stage.NOT_DRAWN:
        everybody = sorted(people.values(), key=lambda person: bib_order(person.bib))
        return (Flight(0, tuple(everybody)),) if everybody else ()
    return tuple(Flight(n, tuple(people[key] for key in flight)) for n, flight in enumerate(state.flights, 1))


@dataclass(frozen=True, slots=True)
class EventLine:
    """An event on the page of the meet."""

    event: Event
    status: Status
    starts_at: str
    leader: Line | None
    up: Person | None
    held: bool


@dataclass(frozen=True, slots=True)
class MeetBoard:
    """All events of a meet and the team standings, for everybody."""

    meet: Meet
    events: tuple[EventLine, ...]
    schools: tuple[SchoolStanding, ...]
    standings_words: str

    @property
    def pace_ms(self) -> int:
        return min((line.status.pace_ms for line in self.events), default=PACE_QUIET)


def meet_board(meet: Meet) -> MeetBoard:
    """The meet as it stands."""
    newest = _newest(meet)
    actual = states_of(meet)
    shown = [replace(now, state=held_back(now.state)) for now in actual]
    parts = [part for now in actual for part in now.parts]
    lines = []
    for now, whole in zip(shown, actual, strict=True):
        people = people_shown(now.entries, meet)
        places = lines_of(now.state, people, Unit(meet.unit), None)
        status = status_of(now.event, whole.state, newest.get(now.event.pk))
        begun = any(entry.turns for entry in now.state.entries)
        up = who_is_up(in_line(now.event, now.state, parts)) if begun and status.going else ""
        lines.append(
            EventLine(
                event=now.event,
                status=status,
                starts_at=f"{timezone.localtime(now.event.starts_at):%H:%M}" if now.event.starts_at else "",
                leader=next((line for line in places if line.best), None),
                up=people[up] if up else None,
                held=any(line.held for line in places),
            )
        )
    standings = standings_of(meet, shown)
    scored = [school for school in standings.schools if school.lines]
    words = (
        _("All events are over.")
        if standings.finished == standings.total
        else _("%(finished)d of %(total)d events are over; the others count as they stand.")
    )
    return MeetBoard(
        meet=meet,
        events=tuple(lines),
        schools=tuple(standings.schools) if scored else (),
        standings_words=words % {"finished": standings.finished, "total": standings.total},
    )


def _newest(meet: Meet) -> dict[int, Publication]:
    found = meet.publications.filter(event__isnull=False).defer("document", "pdf", "csv").order_by("version")
    return {publication.event_id: publication for publication in found}
