"""What the referee and the crew decide at a pit: readiness, trials, cut, order, winds, places. Plain values."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from meets.entries.values import show_board
from meets.models import Event, PitSession
from meets.pit.boards import boards_for
from meets.pit.due import Due, due_of
from meets.pit.still_open import still_open
from meets.pit.sync.reads import close_out, devices_of, not_heard_of
from meets.pit.written import Written, event_of, turn_from, written, written_series
from meets.running.digits import wind_from_digits
from meets.running.reads import Person, SessionView, session_view
from meets.running.trials import find_turn
from meets.running.words import say
from scoring.alarms import CUT
from scoring.cut import CutProposal
from scoring.explain import explain_cut, explain_place, explain_trials
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.places import Placed
from scoring.state import Alarm, EventState, Stage


@dataclass(frozen=True, slots=True)
class BoardInUse:
    board_cm: int
    shown: str


@dataclass(frozen=True, slots=True)
class Ready:
    """The sand sheet of a session: whether it is signed, and the boards to be measured."""

    signed: bool
    boards: tuple[BoardInUse, ...]


@dataclass(frozen=True, slots=True)
class Verdict:
    """Somebody in or out at a cut, with the sentence that is read to them."""

    person: Person
    best: str
    goes_on: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class DecidePage:
    """The decisions of one event that are due. `version` is what was looked at.

    Once it is to be closed, `not_here`: what phones hold for it and the server does not have; `phones`: how many
    phones could hold something; `not_heard_of`: those that are silent, a sentence each; `still_open`: what else is.
    """

    event: Event
    version: int
    due: tuple[Due, ...]
    trials: str
    cut_round: int
    verdicts: tuple[Verdict, ...]
    order_round: int
    order: tuple[Person, ...]
    disputes: tuple[tuple[Person, Turn, tuple[Written, ...]], ...]
    not_here: tuple[str, ...] = ()
    phones: int = 0
    not_heard_of: tuple[str, ...] = ()
    still_open: tuple[str, ...] = ()

    @property
    def kinds(self) -> tuple[str, ...]:
        return tuple(due.kind for due in self.due)


@dataclass(frozen=True, slots=True)
class PlaceLine:
    place: str
    person: Person
    best: str
    status: str
    series: tuple[Written, ...]
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EventPlaces:
    event: str
    event_id: int
    lines: tuple[PlaceLine, ...]
    alarms: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Owed:
    """A measured trial whose wind nobody has said."""

    event_id: int
    person: Person
    turn: Turn
    mark: str


def ready_of(session: PitSession) -> Ready:
    view = session_view(session)
    boards: set[int] = set()
    for event_id, state in view.states.items():
        own = {entry.board_cm for entry in state.entries if entry.board_cm and entry.status not in ("DNS", "DQ")}
        boards |= own or set(boards_for(view.events[event_id], session.pit.boards_cm))
    unit = Unit(session.pit.meet.unit)
    return Ready(
        signed=all(state.ready for state in view.states.values()),
        boards=tuple(BoardInUse(cm, show_board(cm, unit)) for cm in sorted(boards)),
    )


def decide_page(session: PitSession, event_id: int) -> DecidePage | None:
    """None if the event is not in the session."""
    view = session_view(session)
    if event_id not in view.states:
        return None
    event, state, people = view.events[event_id], view.states[event_id], view.people[event_id]
    unit = Unit(event.meet.unit)
    trials, cut, order = state.trials_proposal, state.cut_proposal, state.order_proposal
    first_cut = state.rules.cuts[0][0] if state.rules.cuts else state.rounds
    return DecidePage(
        event=event,
        version=state.version,
        due=tuple(due for due in due_of(view) if due.event_id == event_id),
        trials=say(explain_trials(trials, cut_after=first_cut)) if trials else "",
        cut_round=cut.after_round if cut else 0,
        verdicts=verdicts_of(cut, state, people, unit) if cut else (),
        order_round=order.round if order else 0,
        order=tuple(people[entry] for entry in order.order) if order else (),
        disputes=_disputes(state, people, unit),
        not_here=close_out(event).says if state.stage is Stage.FINISHED else (),
        phones=devices_of(event).count() if state.stage is Stage.FINISHED else 0,
        not_heard_of=not_heard_of(event, timezone.now()) if state.stage is Stage.FINISHED else (),
        still_open=still_open(event, state, people) if state.stage is Stage.FINISHED else (),
    )


def verdicts_of(cut: CutProposal, state: EventState, people: dict[str, Person], unit: Unit) -> tuple[Verdict, ...]:
    found = []
    for verdict in cut.verdicts:
        counted = [t.valid_mark for round, t in state.entry(verdict.entry).by_round.items() if round <= cut.after_round]
        marks = tuple(sorted((mark for mark in counted if mark is not None), reverse=True))
        says = say(explain_cut(verdict, cut, marks, lambda key: people[key].bib, unit))
        best = show_mark(marks[0], unit) if marks else ""
        found.append(Verdict(people[verdict.entry], best, verdict.goes_on, says))
    return tuple(found)


def _disputes(
    state: EventState, people: dict[str, Person], unit: Unit
) -> tuple[tuple[Person, Turn, tuple[Written, ...]], ...]:
    turns = {turn.turn: turn for entry in state.entries for turn in entry.turns}
    return tuple(
        (people[turn.entry], turn, tuple(written(turn, trial, unit) for trial in turns[turn].said))
        for turn in state.disputes
        if turn.entry in people
    )


def stopped_of(session: PitSession) -> bool:
    return any(state.stage is Stage.SUSPENDED for state in session_view(session).states.values())


def places_of(session: PitSession) -> tuple[EventPlaces, ...]:
    """Places as they stand, every trial to be read out, and what the referee must see."""
    view = session_view(session)
    return tuple(_places(view, event_id) for event_id in view.states)


def _places(view: SessionView, event_id: int) -> EventPlaces:
    event, state, people = view.events[event_id], view.states[event_id], view.people[event_id]
    unit = Unit(event.meet.unit)
    lines = []
    for placed in state.places:
        entry = state.entry(placed.entry)
        sentences = explain_place(placed, lambda key: people[key].bib, unit, reason=entry.status_reason)
        lines.append(
            PlaceLine(
                place=place_words(placed),
                person=people[placed.entry],
                best="" if placed.best is None else show_mark(placed.best, unit),
                status=placed.status,
                series=written_series(entry, unit),
                why=tuple(say(sentence) for sentence in sentences),
            )
        )
    return EventPlaces(event.name, event_id, tuple(lines), tuple(alarm_words(alarm, people) for alarm in state.alarms))


def place_words(placed: Placed) -> str:
    if placed.place is None:
        return "G" if placed.guest and placed.best is not None else ""
    return f"{placed.place}{'=' if placed.shared_with else ''}"


def alarm_words(alarm: Alarm, people: dict[str, Person]) -> str:
    """The sentence with bibs in place of keys, and whom it is about."""
    values = dict(alarm.values)
    if alarm.message == CUT:
        changes = [str(change) for change in values["changes"]]
        values["changes"] = ", ".join(f"{c[0]}{people[c[1:]].bib}" for c in changes if c[1:] in people)
    bibs = ", ".join(people[entry].bib for entry in alarm.entries if entry in people)
    said = say(Alarm(alarm.key, alarm.message, values))
    return f"{bibs}: {said}" if bibs else said


def owed_winds(session: PitSession) -> tuple[tuple[Owed, ...], bool]:
    """Winds that are owed, in the order they were jumped, and whether there is a gauge now."""
    view = session_view(session)
    owed = []
    for event_id, state in view.states.items():
        unit = Unit(view.events[event_id].meet.unit)
        people = view.people[event_id]
        for turn in sorted(state.owed_winds, key=lambda turn: turn.round):
            trial = next(t.trial for t in state.entry(turn.entry).turns if t.turn == turn)
            mark = show_mark(trial.mark, unit) if trial and trial.mark is not None else ""
            owed.append(Owed(event_id, people[turn.entry], turn, mark))
    return tuple(owed), not all(state.no_gauge for state in view.states.values())


def overtaken_winds(session: PitSession, typed: Mapping[str, str]) -> tuple[str, ...]:
    """A sentence for every wind typed that is not owed (any more) and stands otherwise.

    `typed`: turn as a form names it -> what was typed, other fields are left alone.
    """
    view, says = session_view(session), []
    for name, text in typed.items():
        turn = turn_from(name)
        event_id = event_of(view, turn.entry) if turn and text.strip() else None
        if turn is None or event_id is None or turn in view.states[event_id].owed_winds:
            continue
        unit, found = Unit(view.events[event_id].meet.unit), find_turn(view.states[event_id], turn)
        if found is None or found.trial is None:
            stands = _("nothing")
        else:
            stands = written(turn, found.trial, unit).wind or _("no wind")
        wind = wind_from_digits(text)
        if stands != wind:
            values = {"bib": view.people[event_id][turn.entry].bib, "round": turn.round, "now": stands, "typed": wind}
            sentence = _(
                "Bib %(bib)s, round %(round)s: somebody has written %(now)s, not %(typed)s. "
                "If that is wrong, correct the trial."
            )
            says.append(sentence % values)
    return tuple(says)
