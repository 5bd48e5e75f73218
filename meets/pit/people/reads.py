"""The people of a session: where each of them is, which turn they owe, and what may be said about them."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from meets.entries.values import show_board
from meets.models import Event, PitSession
from meets.pit.boards import boards_for
from meets.pit.written import Written, event_of, turn_name, written_series
from meets.running.reach import reach_doubt
from meets.running.reads import Person, SessionView, entries_of, session_view
from meets.running.words import year_words
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.state import EntryState


@dataclass(frozen=True, slots=True)
class Line:
    """One athlete of the session. `turn`: the open turn as an address carries it, '' if there is none."""

    person: Person
    year: str
    status: str
    board: str
    best: str
    series: tuple[Written, ...]
    turn: str
    round: int
    away: bool
    checked_in: bool


@dataclass(frozen=True, slots=True)
class Group:
    event_id: int
    event: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class BoardChoice:
    board_cm: int
    shown: str
    now: bool


@dataclass(frozen=True, slots=True)
class AthletePage:
    """An athlete and what can be said of them. `absent_sign`: what absence without leave is written as."""

    event: Event
    line: Line
    entry: str
    turn: Turn | None
    started: bool
    checked_in: bool
    did_not_start: bool
    finished: bool
    round: int
    rounds: int
    boards: tuple[BoardChoice, ...]
    doubt: str
    absent_sign: str

    @property
    def only_board(self) -> str:
        """The board, where there is no other to choose."""
        return self.boards[0].shown if len(self.boards) == 1 else ""


def everybody(session: PitSession) -> tuple[Group, ...]:
    """Everybody of the session by event, in the order of the start list."""
    view = session_view(session)
    return tuple(
        Group(event_id, view.events[event_id].name, tuple(_line(view, event_id, entry) for entry in state.entries))
        for event_id, state in view.states.items()
    )


def athlete(session: PitSession, entry: str) -> AthletePage | None:
    """One athlete of the session; None if the session has no such entry."""
    view = session_view(session)
    event_id = event_of(view, entry)
    if event_id is None:
        return None
    event, state = view.events[event_id], view.states[event_id]
    found = state.entry(entry)
    model = next(one for one in entries_of(event) if str(one.pk) == entry)
    return AthletePage(
        event=event,
        line=_line(view, event_id, found),
        entry=entry,
        turn=_open_turn(view, entry),
        started=any(turn.trial is not None for turn in found.turns),
        checked_in=found.checked_in,
        did_not_start=found.status == "DNS",
        finished=found.finished,
        round=state.round,
        rounds=state.rounds,
        boards=_boards(event, session, found),
        doubt=reach_doubt(event, model, found.board_cm) if found.board_cm else "",
        absent_sign=state.rules.absent_without_leave,
    )


def _line(view: SessionView, event_id: int, entry: EntryState) -> Line:
    unit = Unit(view.events[event_id].meet.unit)
    key = entry.line.entry
    turn = _open_turn(view, key)
    return Line(
        person=view.people[event_id][key],
        year=year_words(view.people[event_id][key].year_group),
        status=status_words(entry),
        board=show_board(entry.board_cm, unit) if entry.board_cm else "",
        best="" if entry.best is None else show_mark(entry.best, unit),
        series=written_series(entry, unit),
        turn=turn_name(turn) if turn else "",
        round=turn.round if turn else 0,
        away=entry.away is not None,
        checked_in=entry.checked_in or bool(entry.status),
    )


def _open_turn(view: SessionView, entry: str) -> Turn | None:
    return next((item.turn for item in view.queue if item.turn.entry == entry), None)


def _boards(event: Event, session: PitSession, entry: EntryState) -> tuple[BoardChoice, ...]:
    unit = Unit(event.meet.unit)
    boards = {*boards_for(event, session.pit.boards_cm), *([entry.board_cm] if entry.board_cm else [])}
    return tuple(BoardChoice(cm, show_board(cm, unit), cm == entry.board_cm) for cm in sorted(boards))


def status_words(entry: EntryState) -> str:
    """Where somebody is, in a word or two; '' for who is simply here."""
    if entry.status == "DQ":
        return _("disqualified")
    if entry.status == "DNS":
        return _("retired without a trial") if entry.checked_in or entry.turns else _("does not start")
    if entry.away is not None:
        return _("away: %(where)s") % {"where": entry.away} if entry.away else _("away")
    if entry.goes_on is False:
        return _("out at the cut")
    if entry.pending:
        return _("added at the pit, jumps as a guest until the desk confirms")
    return "" if entry.checked_in else _("not checked in")
