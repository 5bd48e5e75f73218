"""What the pages of one event show, put together from its state: plain values only."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from meets.board.drawing import NARROW, Drawing
from meets.board.event_drawing import drawing_of
from meets.desk.event.next_step import STAGE_WORDS, NextStep, next_step
from meets.desk.event.series import SeriesLine, series_lines
from meets.desk.rules.misfits import Misfit, misfits_of
from meets.entries.values import show_board
from meets.models import Event, Pit, PitSession
from meets.publishing.canonical import sha256_of
from meets.publishing.next_words import what_next
from meets.publishing.standing import newest
from meets.running.reads import Person, entries_of, people_of, state_of
from meets.running.sessions import sessions_of
from meets.running.team_points import points_of, schools_in_match
from meets.running.words import say
from meets.sheets.unscored import unscored
from scoring.alarms import CUT, DISPUTED, DISPUTED_WIND, PROTEST
from scoring.log import Turn
from scoring.marks import Unit
from scoring.state import Alarm, EventState, NextTurn, Protest, Stage

# Alarms that have lines of their own, with the page where they are settled.
SHOWN_APART = (DISPUTED, DISPUTED_WIND, PROTEST)


@dataclass(frozen=True)
class Called:
    """A turn in the call order."""

    person: Person
    round: int
    replacement: int
    board: str
    why: str
    away: str = ""


@dataclass(frozen=True)
class ShownAlarm:
    key: str
    says: str
    who: tuple[Person, ...]


@dataclass(frozen=True)
class OpenProtest:
    name: str
    person: Person | None
    round: int
    reason: str
    by: str

    @property
    def about(self) -> str:
        if self.person is None:
            return _("the event")
        about = _("bib %(bib)s, %(name)s") % {"bib": self.person.bib, "name": self.person.name}
        return about + (_(", round %(round)d") % {"round": self.round} if self.round else "")

    @property
    def said(self) -> str:
        """In one line, to choose it from a list."""
        return ", ".join(part for part in (self.about, self.reason, self.by) if part)


@dataclass(frozen=True)
class EventPage:
    """Everything of one event at one version of its log. `published`: the newest version of its result, 0 for none."""

    event: Event
    state: EventState
    people: dict[str, Person]
    stage: str
    step: NextStep
    published: int
    session: PitSession | None
    sessions: tuple[PitSession, ...]
    pit: Pit | None
    lines: tuple[SeriesLine, ...]
    called: tuple[Called, ...]
    away: tuple[Called, ...]
    alarms: tuple[ShownAlarm, ...]
    protests: tuple[OpenProtest, ...]
    appeals: tuple[OpenProtest, ...]
    decided_protests: tuple[OpenProtest, ...]
    owed: tuple[tuple[Person, Turn], ...]
    disputes: tuple[tuple[Person, Turn], ...]
    waiting_for: tuple[Person, ...]
    drawing: Drawing | None
    narrow_drawing: Drawing | None
    misfits: tuple[Misfit, ...]

    @property
    def seen(self) -> str:
        """What a refresh knows already: the log, and what is said of publishing, which moves without it."""
        return f"{self.state.version}-{sha256_of(self.step.says)[:8]}"

    @property
    def begun(self) -> bool:
        return any(entry.turns for entry in self.state.entries)

    @property
    def drawn(self) -> bool:
        return self.state.stage is not Stage.NOT_DRAWN

    @property
    def rounds(self) -> range:
        return range(1, self.state.rounds + 1)

    @property
    def over(self) -> bool:
        return self.state.stage.is_over


def event_page(event: Event) -> EventPage:
    """The event as it stands now."""
    entries = entries_of(event)
    state = state_of(event, entries)
    people = people_of(event, entries)
    unit = Unit(event.meet.unit)
    sessions = _sessions(event, state)
    pit = sessions[0].pit if sessions else None
    in_match = schools_in_match(event.meet)
    lines = series_lines(state, people, unit, points_of(event, state, in_match), unscored(state, in_match))
    bibs = {key: person.bib for key, person in people.items()}
    published = newest(event) if state.stage.is_over else None
    publishing = what_next(state, published, timezone.now(), event.meet.time_zone)
    return EventPage(
        event=event,
        state=state,
        people=people,
        stage=str(STAGE_WORDS[state.stage]),
        step=next_step(state, bibs, sessions[0].pk if sessions else None, publishing),
        published=publishing.version,
        session=sessions[0] if sessions else None,
        sessions=sessions,
        pit=pit,
        lines=lines,
        called=tuple(_called(turn, people, unit) for turn in state.callable[:3]),
        away=tuple(_called(turn, people, unit, state) for turn in _first_away(state.away)),
        alarms=tuple(shown_alarm(alarm, people) for alarm in state.alarms if alarm.message not in SHOWN_APART),
        protests=_shown(people, (p for p in state.protests if p.upheld is None)),
        appeals=_shown(people, (p for p in state.protests if p.upheld is not None and p.is_open)),
        decided_protests=_shown(people, (p for p in state.protests if not p.is_open)),
        owed=tuple((people[turn.entry], turn) for turn in state.owed_winds if turn.entry in people),
        disputes=tuple((people[turn.entry], turn) for turn in state.disputes if turn.entry in people),
        waiting_for=tuple(people[entry] for entry in state.waiting_for),
        misfits=tuple(misfits_of(event)),
        drawing=drawing_of(event, state, pit, bibs),
        narrow_drawing=drawing_of(event, state, pit, bibs, size=NARROW),
    )


@dataclass(frozen=True)
class DecisionGroup:
    """Decisions that make sense now, under a heading: name of the form, and its words."""

    title: str
    links: tuple[tuple[str, str], ...]


def decisions_now(page: EventPage) -> list[DecisionGroup]:
    """What officials can decide in the state the event is in; a heading without a decision is left out."""
    state, drawn, going = page.state, page.drawn, page.drawn and not page.over
    suspended = state.stage is Stage.SUSPENDED
    closed = state.stage is Stage.CLOSED
    several = len(state.flights) > 1
    groups = (
        (
            _("An athlete"),
            (
                ("leave", _("Away with leave"), going),
                ("back", _("Back from leave"), any(entry.away is not None for entry in state.entries)),
                ("late", _("Came late"), going and page.begun),
                ("board", _("Another board"), going),
                ("withdraw", _("Takes no more trials"), going),
                ("confirm", _("Confirm one added at the pit"), any(entry.pending for entry in state.entries)),
                ("card", _("Show a card"), drawn and not closed),
                ("disqualify", _("Disqualify"), drawn),
            ),
        ),
        (
            _("Start and breaks"),
            (
                ("readiness", _("Sand, runway and board are ready"), going and not suspended),
                ("suspend", _("Suspend"), going and not suspended),
                ("resume", _("Resume"), suspended),
            ),
        ),
        (
            _("Flights, wind, rules"),
            (
                ("merge", _("Join the flights"), going and several),
                ("move-flight", _("Move a flight to another pit"), going and several),
                ("gauge-again", _("A wind gauge again"), going and state.no_gauge),
                ("no-gauge", _("No wind gauge from here on"), going and not state.no_gauge),
                ("rule", _("Change a rule"), not closed and page.begun),
            ),
        ),
        (
            _("Protests and the cut"),
            (
                ("protest", _("Take a protest"), page.begun),
                ("decide-protest", _("Decide a protest"), bool(page.protests)),
                ("appeal", _("Take an appeal"), bool(page.decided_protests)),
                ("decide-appeal", _("Decide an appeal"), bool(page.appeals)),
                ("call-in", _("Call in after the cut"), bool(state.cuts) and not closed),
                ("disregard", _("Trials that do not count"), page.begun),
            ),
        ),
        (
            _("The end"),
            (
                ("shorten", _("End after a round"), going and page.begun),
                ("abandon", _("Abandon"), going and page.begun),
                ("close", _("Close"), page.begun and not closed),
            ),
        ),
    )
    offered = [(title, tuple((name, words) for name, words, fits in links if fits)) for title, links in groups]
    return [DecisionGroup(title, links) for title, links in offered if links]


def _shown(people: Mapping[str, Person], protests: Iterable[Protest]) -> tuple[OpenProtest, ...]:
    """A protest as it was lodged; of an appeal the reason and who lodged it."""
    return tuple(
        OpenProtest(one.protest, people.get(one.entry), one.round, (one.appeal or one).reason, (one.appeal or one).by)
        for one in protests
    )


def _sessions(event: Event, state: EventState) -> tuple[PitSession, ...]:
    """Those that hold a flight of it now, as they begin; without a start last."""
    held = dict.fromkeys(session for _flight, session in sessions_of(event, state))
    return tuple(sorted(held, key=lambda one: (one.starts_at is None, one.starts_at or event.meet.created_at)))


def _called(turn: NextTurn, people: dict[str, Person], unit: Unit, state: EventState | None = None) -> Called:
    away = state.entry(turn.turn.entry).away or "" if state else ""
    board = show_board(turn.board_cm, unit) if turn.board_cm else ""
    person = people[turn.turn.entry]
    return Called(person, turn.turn.round, turn.turn.replacement, board, _(turn.why) if turn.why else "", away)


def _first_away(turns: Sequence[NextTurn]) -> list[NextTurn]:
    """The first open turn of everybody who is away."""
    first: dict[str, NextTurn] = {}
    for turn in turns:
        first.setdefault(turn.turn.entry, turn)
    return list(first.values())


def shown_alarm(alarm: Alarm, people: dict[str, Person]) -> ShownAlarm:
    """An alarm in words, with bibs in place of keys."""
    values = dict(alarm.values)
    if alarm.message == CUT:
        changes = [str(change) for change in values["changes"]]
        values["changes"] = ", ".join(
            (_("bib %(bib)s in") if change[0] == "+" else _("bib %(bib)s out")) % {"bib": people[change[1:]].bib}
            for change in changes
            if change[1:] in people
        )
    return ShownAlarm(
        alarm.key,
        say(Alarm(alarm.key, alarm.message, values)),
        tuple(people[entry] for entry in alarm.entries if entry in people),
    )
