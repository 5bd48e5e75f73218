"""The state of events, derived from their logs and kept in memory while nothing has changed."""

from collections import OrderedDict, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from threading import Lock

from django.db.models import CharField, Exists, Max, OuterRef, Prefetch, Q, QuerySet
from django.db.models.fields.json import KT
from django.db.models.functions import Cast

from meets.entries.rules import event_rules, meet_rules
from meets.models import Entry, Event, LogRow, Meet, Pit, SessionPart
from meets.running.log_end import LOG_END, log_end
from meets.running.row_order import places_of, written_order
from scoring.event import replay
from scoring.facts import from_plain
from scoring.log import Row
from scoring.marks import Unit
from scoring.rulesets import RuleSet
from scoring.state import EventState, StartLine

# More than the events of a large meet: a page that looks at all of them in turn would find none kept otherwise.
_KEPT_STATES = 200
_states: OrderedDict[tuple, EventState] = OrderedDict()
_one_at_a_time = Lock()


def rules_of(event: Event) -> RuleSet:
    """The meet's rule set with the meet's and then the event's changes."""
    return event_rules(event, meet_rules(event.meet))


def version_of(event: Event) -> int:
    """The position of the last row of the event's log; 0 for an empty log."""
    return LogRow.objects.filter(event=event).aggregate(last=Max("rev"))["last"] or 0


def rows_of(event: Event) -> list[Row]:
    """The log as the engine reads it: rows numbered in the order in which each phone wrote its own."""
    return _logs([event.pk])[event.pk]


def rows_of_all(event_ids: Sequence[int]) -> dict[int, list[Row]]:
    """The logs of several events, by their ids, in a number of queries that does not grow with them."""
    return _logs(event_ids) if event_ids else {}


def to_row(row: LogRow) -> Row:
    """A stored row as the engine reads it."""
    return Row(
        id=str(row.pk),
        rev=row.rev,
        fact=from_plain(row.kind, row.values),
        supersedes=tuple(row.supersedes),
        recorder=row.recorder,
        by=row.by,
        reason=row.reason,
        at=row.at,
    )


def in_the_event() -> QuerySet[Entry]:
    """Entries that count as being in their event; withdrawn before the meet are left out, unless they have jumped."""
    own = KT("values__entry")
    jumped = LogRow.objects.filter(event=OuterRef("event"), kind="jumped").annotate(own=own)
    has_jumped = Exists(jumped.filter(own=Cast(OuterRef("pk"), CharField())))
    in_it = ~Q(status=Entry.Status.WITHDRAWN) | has_jumped
    return Entry.objects.filter(in_it).select_related("athlete__school").order_by("pk")


def entries_of(event: Event) -> list[Entry]:
    return list(in_the_event().filter(event=event))


def start_lines(entries: Sequence[Entry]) -> tuple[StartLine, ...]:
    return tuple(
        StartLine(
            str(entry.pk),
            entry.bib or f"#{entry.pk}",
            entry.athlete.school.code,
            entry.string,
            entry.guest,
            entry.klass,
            entry.board_cm,
        )
        for entry in entries
    )


def state_of(event: Event, entries: Sequence[Entry] | None = None) -> EventState:
    """The state of an event."""
    end = Event.objects.filter(pk=event.pk).annotate(**log_end()).values_list(*LOG_END).first()
    known = _Known(event, entries_of(event) if entries is None else entries, end, sand_cm_of(event))
    return known.kept() or known.replayed(rows_of(event))


def sand_cm_of(event: Event) -> int | None:
    """The length of the sand where the event is held; None while no pit is set, or where several differ."""
    return _one_length(event.session_parts.select_related("session__pit"))


def sand_cm_at(event: Event, state: EventState, entry: str) -> int | None:
    """The length of the sand where this athlete jumps now: that of the other pit, if the flight was moved there."""
    home = sand_cm_of(event)
    if not state.moved:
        return home
    pits = dict(Pit.objects.filter(meet=event.meet_id).values_list("name", "sand_cm"))
    moved = {flight: pits.get(pit) for flight, pit in state.moved}
    if {*moved.values()} == {home}:
        return home
    # Once the flights are joined, they may jump at either pit.
    return moved.get(state.entry(entry).flight, None if state.cuts else home)


def _one_length(parts: Sequence[SessionPart] | QuerySet[SessionPart]) -> int | None:
    lengths = {part.session.pit.sand_cm for part in parts}
    return lengths.pop() if len(lengths) == 1 else None


class _Known:
    """All that the state of an event depends on; `key` says it in one, so that a change of any shows at once.

    `end` is where its log ends, as `log_end` gives it.
    """

    def __init__(self, event: Event, entries: Sequence[Entry], end: tuple | None, sand_cm: int | None) -> None:
        self.lines, self.rules, self.unit = start_lines(entries), rules_of(event), Unit(event.meet.unit)
        self.sand_cm = sand_cm
        self.key = (event.pk, event.meet.created_at, end, self.lines, self.rules, self.unit, sand_cm)

    def kept(self) -> EventState | None:
        with _one_at_a_time:
            if self.key in _states:
                _states.move_to_end(self.key)
            return _states.get(self.key)

    def replayed(self, rows: Sequence[Row]) -> EventState:
        state = replay(self.lines, rows, self.rules, unit=self.unit, sand_cm=self.sand_cm)
        with _one_at_a_time:
            _states[self.key] = state
            while len(_states) > _KEPT_STATES:
                _states.popitem(last=False)
        return state


@dataclass(frozen=True, slots=True)
class EventNow:
    """An event of a meet as it stands, with its entries and the parts of sessions that hold it."""

    event: Event
    entries: tuple[Entry, ...]
    parts: tuple[SessionPart, ...]
    state: EventState


def states_of(*meets: Meet) -> list[EventNow]:
    """Every event of a meet in the order of the programme, in a number of queries that does not grow with them.

    Of several meets as well: then the events of all of them stand in that order.
    Only the logs of events that have changed since they were last looked at are read.
    """
    events = list(
        Event.objects.filter(meet__in=meets)
        .annotate(**log_end())
        .prefetch_related(
            Prefetch("entries", in_the_event(), to_attr="entered"),
            Prefetch("session_parts", SessionPart.objects.select_related("session__pit"), to_attr="parts"),
        )
    )
    known = {}
    by_pk = {meet.pk: meet for meet in meets}
    for event in events:
        event.meet = by_pk[event.meet_id]
        end = tuple(getattr(event, name) for name in LOG_END)
        known[event.pk] = _Known(event, event.entered, end, _one_length(event.parts))
    states = {pk: one.kept() for pk, one in known.items()}
    logs = _logs([pk for pk, state in states.items() if state is None])
    return [
        EventNow(
            event,
            tuple(event.entered),
            tuple(event.parts),
            states[event.pk] or known[event.pk].replayed(logs[event.pk]),
        )
        for event in events
    ]


def _logs(event_ids: Sequence[int]) -> dict[int, list[Row]]:
    stored: dict[int, list[LogRow]] = defaultdict(list)
    for row in LogRow.objects.filter(event__in=event_ids).order_by("event", "rev"):
        stored[row.event_id].append(row)
    places = places_of(event_ids)
    logs: dict[int, list[Row]] = defaultdict(list)
    for event_id, rows in stored.items():
        ordered = written_order(rows, places[event_id])
        logs[event_id] = [replace(to_row(row), rev=place.rev) for place, row in zip(rows, ordered, strict=True)]
    return logs
