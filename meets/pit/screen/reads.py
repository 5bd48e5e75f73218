"""What the recorder's screen shows: who is up, what has been written, what is due. Plain values."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from meets.entries.values import show_board
from meets.models import LogRow, Meet, PitSession
from meets.pit.boards import boards_for
from meets.pit.due import Due, due_of
from meets.pit.rounds import count, flight_of, flight_words, round_words, with_cut
from meets.pit.written import Written, event_of, turn_from, turn_name, written, written_series
from meets.running.reads import Person, QueuedTurn, SessionView, session_view, states_of
from meets.running.sessions import held_in
from meets.running.words import year_words
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.state import Stage

LAST = 3


def sessions() -> QuerySet[PitSession]:
    return PitSession.objects.select_related("pit__meet")


@dataclass(frozen=True, slots=True)
class SessionLine:
    """A session on the list of the day. `events`: their names, where the session's own does not say it all."""

    session: PitSession
    events: tuple[str, ...]
    closed: bool


def sessions_on(day: date) -> tuple[list[SessionLine], date | None]:
    """Sessions of the meets of this day, meet by meet; without any, of the nearest day that has some, and that day."""
    found = sessions().order_by("pit__meet__name", "pit__meet_id", "starts_at", "pit__name", "pk")
    days = sorted(set(sessions().values_list("pit__meet__date", flat=True)))
    if not days:
        return [], None
    nearest = min(days, key=lambda other: (abs(other - day), other < day))
    on_it = list(found.filter(pit__meet__date=nearest))
    held: dict[int, dict[str, bool]] = {}
    for now in states_of(*Meet.objects.filter(date=nearest)):
        of_meet = [session for session in on_it if session.pit.meet_id == now.event.meet_id]
        for _flight, session in held_in(now.parts, now.state, of_meet):
            held.setdefault(session.pk, {})[now.event.name] = now.state.stage.is_over
    lines = []
    for session in on_it:
        over = held.get(session.pk, {})
        names = () if " + ".join(over) == session.name else tuple(over)
        lines.append(SessionLine(session, names, bool(over) and all(over.values())))
    return lines, nearest


@dataclass(frozen=True, slots=True)
class Soon:
    """Who is next, then, or away."""

    person: Person
    round: int
    board: str
    away: str = ""


@dataclass(frozen=True, slots=True)
class Up:
    """The turn that is being written, and everything the recorder reads out."""

    event_id: int
    event: str
    turn: Turn
    person: Person
    year: str
    round: str
    flight: str
    number: int
    of: int
    board: str
    board_cm: int | None
    triple: bool
    best: str
    series: tuple[Written, ...]
    why: str
    is_called: bool
    recorded: bool
    new_round: bool
    seconds: int
    warning_seconds: int

    @property
    def stands(self) -> Written | None:
        """What is written for this turn already."""
        return next((trial for trial in self.series if trial.turn == self.turn and not trial.void), None)


@dataclass(frozen=True, slots=True)
class OpenTurn:
    """Somebody who may jump now in an open pit; `turn` as an address carries it."""

    person: Person
    turn: str
    round: int


@dataclass(frozen=True, slots=True)
class Screen:
    """A session as its recorder sees it. `open_pit`: who may jump, in any order, while nobody is chosen.

    `offer_no_gauge`: the pit has no wind gauge, and nobody has said yet that its trials are without wind.
    """

    session: PitSession
    view: SessionView
    unit: Unit
    up: Up | None
    soon: tuple[Soon, ...]
    away: tuple[Soon, ...]
    last: tuple[Written, ...]
    due: tuple[Due, ...]
    owed: int
    alarms: int
    stopped: tuple[str, ...]
    not_ready: bool
    gauge: bool
    offer_no_gauge: bool
    open_pit: tuple[OpenTurn, ...]
    without_clock: bool
    finished: bool

    @property
    def several(self) -> bool:
        """Whether more than one event shares the session."""
        return len(self.view.states) > 1


def screen_of(session: PitSession, chosen: str = "") -> Screen:
    """The screen; `chosen` names a turn picked by hand (`entry-round-replacement`)."""
    view = session_view(session)
    confirmed = with_cut(view.events)
    called = [turn for turn in view.queue if not turn.away]
    picked = turn_from(chosen)
    in_any_order = bool(called) and view.states[called[0].event_id].rules.call == "open pit"
    up = None
    if picked is not None and event_of(view, picked.entry) is not None:
        up = _up(view, picked, confirmed, is_called=in_any_order or (bool(called) and called[0].turn == picked))
    elif called and not in_any_order:
        up = _up(view, called[0].turn, confirmed, is_called=True)
    states, unit = view.states.values(), Unit(session.pit.meet.unit)
    stopped = [state for state in states if state.stage is Stage.SUSPENDED]
    return Screen(
        session=session,
        view=view,
        unit=unit,
        up=up,
        soon=() if in_any_order else tuple(_soon(view, t, unit) for t in called if up is None or t.turn != up.turn)[:2],
        away=_first_of_each(_soon(view, turn, unit) for turn in view.queue if turn.away),
        last=_last(view),
        due=due_of(view),
        owed=sum(len(state.owed_winds) for state in states),
        alarms=sum(len(state.alarms) for state in states),
        stopped=tuple(dict.fromkeys(state.suspended_reason for state in stopped)),
        not_ready=any(not state.ready and state.stage in _BEFORE_THE_END for state in states),
        gauge=not (up is not None and view.states[up.event_id].no_gauge),
        offer_no_gauge=_offer_no_gauge(view),
        without_clock=in_any_order,
        open_pit=_who_may(called) if in_any_order and up is None else (),
        finished=bool(view.states) and all(state.stage in _AFTER_THE_LAST for state in states),
    )


_AFTER_THE_LAST = (Stage.FINISHED, Stage.ABANDONED, Stage.CLOSED)
_BEFORE_THE_END = (Stage.DRAWN, Stage.IN_PROGRESS, Stage.SUSPENDED)


NO_GAUGE = ("", "none", "no", "-", "–")


def _offer_no_gauge(view: SessionView) -> bool:
    if view.session.pit.gauge.strip().casefold() not in NO_GAUGE:
        return False
    states = [state for state in view.states.values() if not state.stage.is_over]
    trials = (turn.trial for state in states for entry in state.entries for turn in entry.turns)
    read = any(trial and trial.wind and trial.wind.tenths is not None for trial in trials)
    said = LogRow.objects.filter(event__in=view.events, kind="no_gauge").exists()
    return bool(states) and not read and not said


def _up(view: SessionView, turn: Turn, confirmed: dict[int, bool], *, is_called: bool) -> Up:
    event_id = event_of(view, turn.entry)
    assert event_id is not None
    event, state, person = view.events[event_id], view.states[event_id], view.people[event_id][turn.entry]
    entry = state.entry(turn.entry)
    flight = flight_of(state, turn)
    unit = Unit(event.meet.unit)
    taken, everybody = count(state, turn.round, flight)
    boards_cm = boards_for(event, view.session.pit.boards_cm)
    board_cm = entry.board_cm or (boards_cm[0] if len(boards_cm) == 1 else None)
    return Up(
        event_id=event_id,
        event=event.name,
        turn=turn,
        person=person,
        year=year_words(person.year_group),
        round=round_words(state, turn.round, confirmed.get(event_id)),
        flight=flight_words(state, flight),
        number=min(taken + 1, everybody),
        of=everybody,
        board=show_board(board_cm, unit) if board_cm else "",
        board_cm=board_cm,
        triple=event.discipline == "TJ",
        best="" if entry.best is None else show_mark(entry.best, unit),
        series=written_series(entry, unit),
        why=_("replacement trial") if turn.replacement else "",
        is_called=is_called,
        recorded=any(item.turn == turn and item.trial is not None for item in entry.turns),
        new_round=is_called and taken == 0 and turn.round > 1 and not turn.replacement,
        seconds=state.rules.consecutive_seconds if is_called and state.consecutive else state.rules.trial_seconds,
        warning_seconds=state.rules.warning_seconds,
    )


def _last(view: SessionView) -> tuple[Written, ...]:
    """The trials written last, the newest first."""
    rows = LogRow.objects.filter(event__in=view.events, kind="jumped").order_by("-at", "-rev")[: LAST * 3]
    found: dict[Turn, Written] = {}
    for event_id, values in rows.values_list("event_id", "values"):
        turn = Turn(values["entry"], values["round"], values.get("replacement", 0))
        unit = Unit(view.events[event_id].meet.unit)
        if turn in found or turn.entry not in view.people[event_id]:
            continue
        state = next((t for t in view.states[event_id].entry(turn.entry).turns if t.turn == turn), None)
        person = view.people[event_id][turn.entry]
        if state is not None and state.trial is not None:
            found[turn] = written(turn, state.trial, unit, person=person, disputed=state.disputed)
        elif state is not None and state.void:
            found[turn] = written(turn, state.void[-1][0], unit, person=person, void=True)
        if len(found) == LAST:
            break
    return tuple(found.values())


def _soon(view: SessionView, turn: QueuedTurn, unit: Unit) -> Soon:
    """With the board where athletes jump from different ones."""
    boards = {entry.board_cm for entry in view.states[turn.event_id].entries if entry.board_cm}
    board = show_board(turn.board_cm, unit) if turn.board_cm and len(boards) > 1 else ""
    return Soon(turn.person, turn.turn.round, board, turn.away)


def _who_may(called: Iterable[QueuedTurn]) -> tuple[OpenTurn, ...]:
    """The first open turn of everybody, by bib."""
    first: dict[str, OpenTurn] = {}
    for item in called:
        first.setdefault(item.person.entry, OpenTurn(item.person, turn_name(item.turn), item.turn.round))
    return tuple(sorted(first.values(), key=lambda one: (len(one.person.bib), one.person.bib)))


def _first_of_each(turns: Iterable[Soon]) -> tuple[Soon, ...]:
    first: dict[str, Soon] = {}
    for turn in turns:
        first.setdefault(turn.person.entry, turn)
    return tuple(first.values())
