"""What the pages of one event show, put together from its state: plain values only."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from meets.desk.event.drawing import Drawing, drawing_of
from meets.desk.event.log_words import LogWords
from meets.desk.event.next_step import STAGE_WORDS, NextStep, next_step
from meets.desk.event.series import SeriesLine, series_lines
from meets.models import Event, Pit, PitSession
from meets.running.reads import Person, entries_of, people_of, rows_of, state_of
from meets.running.team_points import points_of, schools_in_match
from meets.running.words import say
from scoring.alarms import CUT, DISPUTED, DISPUTED_WIND, PROTEST
from scoring.facts import Jumped, WindRead, kind_of
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.state import Alarm, EventState, NextTurn, Stage
from scoring.trials import Trial
from scoring.wind import Wind, show_wind

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


@dataclass(frozen=True)
class EventPage:
    """Everything of one event at one version of its log."""

    event: Event
    state: EventState
    people: dict[str, Person]
    stage: str
    step: NextStep
    session: PitSession | None
    sessions: tuple[PitSession, ...]
    pit: Pit | None
    lines: tuple[SeriesLine, ...]
    called: tuple[Called, ...]
    away: tuple[Called, ...]
    alarms: tuple[ShownAlarm, ...]
    protests: tuple[OpenProtest, ...]
    owed: tuple[tuple[Person, Turn], ...]
    disputes: tuple[tuple[Person, Turn], ...]
    waiting_for: tuple[Person, ...]
    drawing: Drawing | None

    @property
    def begun(self) -> bool:
        return any(entry.turns for entry in self.state.entries)

    @property
    def rounds(self) -> range:
        return range(1, self.state.rounds + 1)

    @property
    def over(self) -> bool:
        return self.state.stage in (Stage.FINISHED, Stage.ABANDONED, Stage.CLOSED)


def event_page(event: Event) -> EventPage:
    """The event as it stands now."""
    entries = entries_of(event)
    state = state_of(event, entries)
    people = people_of(event, entries)
    unit = Unit(event.meet.unit)
    sessions = _sessions(event)
    pit = sessions[0].pit if sessions else None
    points = points_of(event, state, schools_in_match(event.meet))
    lines = series_lines(state, people, unit, points)
    by_entry = {line.entry: line for line in lines}
    bibs = {key: person.bib for key, person in people.items()}
    return EventPage(
        event=event,
        state=state,
        people=people,
        stage=str(STAGE_WORDS[state.stage]),
        step=next_step(state, bibs, sessions[0].pk if sessions else None),
        session=sessions[0] if sessions else None,
        sessions=sessions,
        pit=pit,
        lines=lines,
        called=tuple(_called(turn, people) for turn in state.callable[:3]),
        away=tuple(_called(turn, people, state) for turn in _first_away(state.away)),
        alarms=tuple(shown_alarm(alarm, people) for alarm in state.alarms if alarm.message not in SHOWN_APART),
        protests=tuple(
            OpenProtest(p.protest, people.get(p.entry), p.round, p.reason, p.by)
            for p in state.protests
            if p.upheld is None
        ),
        owed=tuple((people[turn.entry], turn) for turn in state.owed_winds if turn.entry in people),
        disputes=tuple((people[turn.entry], turn) for turn in state.disputes if turn.entry in people),
        waiting_for=tuple(people[entry] for entry in state.waiting_for),
        drawing=drawing_of(
            event, state, pit, [(p, by_entry[p.entry].person.bib, by_entry[p.entry].best) for p in state.places], unit
        ),
    )


def _sessions(event: Event) -> tuple[PitSession, ...]:
    parts = event.session_parts.select_related("session__pit").order_by("session__starts_at", "pk")
    return tuple(dict.fromkeys(part.session for part in parts))


def _called(turn: NextTurn, people: dict[str, Person], state: EventState | None = None) -> Called:
    away = state.entry(turn.turn.entry).away or "" if state else ""
    board = f"{turn.board_cm / 100:g} m" if turn.board_cm else ""
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


@dataclass(frozen=True)
class LogLine:
    """A row of the log as it is read aloud. `replaced_by`: revs of the rows that supersede it."""

    id: str
    rev: int
    at: datetime | None
    by: str
    recorder: str
    says: str
    reason: str
    replaced_by: tuple[int, ...]
    replaces: tuple[int, ...]
    entry: str
    kind: str


def log_lines(event: Event) -> tuple[LogLine, ...]:
    """The whole log, the newest row first."""
    words = LogWords(dict(_bibs(event)), Unit(event.meet.unit))
    rows = rows_of(event)
    revs = {row.id: row.rev for row in rows}
    replaced_by: dict[str, list[int]] = {}
    for row in rows:
        for old in row.supersedes:
            replaced_by.setdefault(old, []).append(row.rev)
    return tuple(
        LogLine(
            id=row.id,
            rev=row.rev,
            at=row.at,
            by=row.by,
            recorder=row.recorder,
            says=words(row.fact),
            reason=row.reason,
            replaced_by=tuple(replaced_by.get(row.id, ())),
            replaces=tuple(revs[old] for old in row.supersedes if old in revs),
            entry=getattr(row.fact, "entry", ""),
            kind=kind_of(row.fact),
        )
        for row in reversed(rows)
    )


def _bibs(event: Event) -> Iterator[tuple[str, str]]:
    for pk, bib in event.entries.values_list("pk", "bib"):
        yield str(pk), bib or f"#{pk}"


@dataclass(frozen=True)
class Said:
    """What one record says of a turn."""

    recorder: str
    by: str
    at: datetime | None
    trial: str
    wind: str


@dataclass(frozen=True)
class TurnPage:
    """One turn: what stands, what each record says, what was and does not count any more."""

    turn: Turn
    person: Person
    text: str
    wind: str
    fail_reason: str
    board_cm: int | None
    under_protest: bool
    disputed: bool
    counts: bool
    said: tuple[Said, ...]
    void: tuple[tuple[str, str], ...]


def turn_page(page: EventPage, entry: str, round: int, replacement: int) -> TurnPage | None:
    """None if nothing was recorded for this turn."""
    wanted = Turn(entry, round, replacement)
    if entry not in page.people:
        return None
    found = next((turn for turn in page.state.entry(entry).turns if turn.turn == wanted), None)
    if found is None:
        return None
    unit, trial = Unit(page.event.meet.unit), found.trial
    rows = {row.id: row for row in rows_of(page.event)} if found.rows or found.wind_rows else {}
    winds = {
        rows[key].recorder: show_wind(Wind(fact.tenths))
        for key in found.wind_rows
        if isinstance(fact := rows[key].fact, WindRead)
    }
    return TurnPage(
        turn=wanted,
        person=page.people[entry],
        text=_typed(trial, unit) if trial else "",
        wind=show_wind(trial.wind) if trial else "",
        fail_reason=str(trial.reason) if trial else "",
        board_cm=trial.board_cm if trial else None,
        under_protest=bool(trial and trial.under_protest),
        disputed=found.disputed or found.wind_disputed,
        counts=found.counts,
        said=tuple(
            Said(row.recorder, row.by, row.at, _typed(fact, unit), winds.get(row.recorder, ""))
            for key in found.rows
            if isinstance(fact := (row := rows[key]).fact, Jumped)
        ),
        void=tuple((_typed(old, unit), why) for old, why in found.void),
    )


def _typed(trial: Trial | Jumped, unit: Unit) -> str:
    """A trial as it would be typed: the mark also where it was measured under protest."""
    return show_mark(trial.mark, unit) if trial.mark is not None else str(trial.result)
