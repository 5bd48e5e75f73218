"""What entries of an event are judged by, read in a few statements: nothing of the event's state is derived here.

What takes time to make (rules from their changes, which rows of the log say something about rounds or the end) is
kept in memory, under the very values that it was made from or behind the row up to which it was read.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache

from meets.models import Entry, Event, Meet
from meets.pit.sync.planned import Statement
from meets.pit.sync.tables import BETWEEN, NewLogRow, hexed, listed, locks, look, marks
from meets.running.sessions import moved_to
from meets.running.states import in_the_event, rules_of
from scoring.rulesets import RuleSet

WITHDRAWN = Entry.Status.WITHDRAWN.value
# A character that no bib holds.
INSIDE = "\x1f"
BIB = f"id || '{INSIDE}' || status || '{INSIDE}' || bib"


@dataclass(slots=True)
class _Tail:
    """What the log of an event says up to a row, as far as judging asks for it."""

    last_id: str = ""
    last_rev: int = 0
    rounds: int = 0
    closed: set[str] = field(default_factory=set)
    gone: set[str] = field(default_factory=set)
    moved: bool = False


@dataclass(slots=True)
class Ground:
    """An event, locked: its rules, where it is held, who of those asked for is in it, how its log ends.

    `names`: names given at the pit -> keys of entries. `new_rows`: what is to be put behind the log's end.
    """

    event: Event
    rules: RuleSet
    sessions: frozenset[int]
    bibs: dict[str, str]
    last_rev: int
    rounds: int
    closed: bool
    names: dict[str, str] = field(default_factory=dict)
    new_rows: list[NewLogRow] = field(default_factory=list)

    @property
    def meet(self) -> Meet:
        return self.event.meet

    def everybody(self) -> dict[str, str]:
        """Entry key -> bib of all who are in the event."""
        self.bibs |= {str(entry.pk): entry.bib for entry in in_the_event().filter(event=self.event)}
        return self.bibs


_tails: dict[int, _Tail] = {}


class Question:
    """Asks for an event and how its log ends, together with whatever else is asked in the same message."""

    def __init__(self, event_id: int, entries: Sequence[int]) -> None:
        named = f"id IN ({marks(entries)})" if entries else "1 = 0"
        ground = (
            "SELECT e.id, e.name, e.discipline, e.category, e.age_group, e.rule_changes, m.id, m.unit, m.rule_set,"
            " m.rule_changes, m.date, m.age_scheme,"
            f" (SELECT {listed('session_id')} FROM meets_sessionpart WHERE event_id = e.id),"
            f" (SELECT {listed(BIB)} FROM meets_entry WHERE event_id = e.id AND {named})"
            " FROM meets_event e JOIN meets_meet m ON m.id = e.meet_id WHERE e.id = %s" + locks("e")
        )
        self.event_id, self.known = event_id, _tails.get(event_id) or _Tail()
        # The log is read behind the lock, each statement seeing what is there when it begins.
        self.statements = (
            Statement(ground, [*entries, event_id], f"ground_of_{len(entries)}" if len(entries) < 2 else ""),
            _rows_from(event_id, self.known.last_rev),
        )

    def answered(self, cursor, events: list[tuple], rows: list[tuple]) -> Ground | None:
        """The ground of the event, locked until the transaction ends; None if there is no such event."""
        if not events:
            return None
        (found,) = events
        event, rules = _event_and_rules(*found[:-2])
        tail = _tail(cursor, self.event_id, self.known, rows)
        return Ground(
            event=event,
            rules=rules,
            sessions=_sessions(event, found[-2], tail),
            bibs=_bibs(event, found[-1]),
            last_rev=tail.last_rev,
            rounds=max(rules.rounds, tail.rounds),
            closed=bool(tail.closed - tail.gone),
        )


def _sessions(event: Event, found: str | None, tail: _Tail) -> frozenset[int]:
    """Where the event is held: by the programme, and where its flights were moved to."""
    sessions = frozenset(map(int, found.split(BETWEEN) if found else ()))
    return sessions.union(moved_to(event.pk, event.meet.pk).values_list("pk", flat=True)) if tail.moved else sessions


def lock_ground(cursor, event_id: int, entries: Sequence[int]) -> Ground | None:
    question = Question(event_id, entries)
    return question.answered(cursor, *look(cursor, question.statements))


@lru_cache(maxsize=256)
def _event_and_rules(
    pk: int,
    name: str,
    discipline: str,
    category: str,
    age_group: str,
    changes: str,
    meet_id: int,
    unit: str,
    rule_set: str,
    meet_changes: str,
    day: date | str,
    age_scheme: str,
) -> tuple[Event, RuleSet]:
    day = date.fromisoformat(day) if isinstance(day, str) else day
    meet = Meet(
        pk=meet_id, unit=unit, rule_set=rule_set, rule_changes=json.loads(meet_changes), date=day, age_scheme=age_scheme
    )
    event = Event(
        pk=pk, meet=meet, name=name, discipline=discipline, category=category, age_group=age_group,
        rule_changes=json.loads(changes),
    )  # fmt: skip
    return event, rules_of(event)


def learn_bibs(cursor, ground: Ground, keys: Sequence[int]) -> None:
    """Look these entries up too."""
    if keys:
        sql = f"SELECT {listed(BIB)} FROM meets_entry WHERE event_id = %s AND id IN ({marks(keys)})"
        cursor.execute(sql, [ground.event.pk, *keys])
        ground.bibs |= _bibs(ground.event, cursor.fetchone()[0])


def _bibs(event: Event, found: str | None) -> dict[str, str]:
    """Bibs by key of who is in the event; who is withdrawn is in it only with a trial jumped."""
    rows = [row.split(INSIDE) for row in found.split(BETWEEN)] if found else []
    bibs = {key: bib for key, status, bib in rows if status != WITHDRAWN}
    if withdrawn := [key for key, status, _ in rows if status == WITHDRAWN]:
        bibs |= {str(entry.pk): entry.bib for entry in in_the_event().filter(event=event, pk__in=withdrawn)}
    return bibs


def _tail(cursor, event_id: int, known: _Tail, rows: list[tuple]) -> _Tail:
    """How the log ends. Only what came behind the row read last is read; if that row is not there, everything is."""
    if known.last_id and (not rows or hexed(rows[0][0]) != known.last_id):
        known = _Tail()
        (rows,) = look(cursor, [_rows_from(event_id, 0)])
    elif known.last_id:
        rows = rows[1:]
    if not rows:
        return known
    tail = _Tail(hexed(rows[-1][0]), rows[-1][1], known.rounds, known.closed, known.gone, known.moved)
    for pk, _rev, kind, values, supersedes in rows:
        tail.moved |= kind == "flight_moved"
        if kind in ("closed", "rule_changed", "trials_confirmed"):
            _note(tail, hexed(pk), kind, json.loads(values))
        if supersedes != "[]":
            tail.gone = tail.gone | {hexed(old) for old in json.loads(supersedes)}
    _tails[event_id] = tail
    return tail


def _rows_from(event_id: int, rev: int) -> Statement:
    sql = 'SELECT id, rev, kind, "values", supersedes FROM meets_logrow WHERE event_id = %s AND rev >= %s ORDER BY rev'
    return Statement(sql, [event_id, rev], "rows_from")


def _note(tail: _Tail, pk: str, kind: str, values: dict[str, object]) -> None:
    if kind == "closed":
        tail.closed = tail.closed | {pk}
    elif kind == "trials_confirmed":
        tail.rounds = max(tail.rounds, int(values["rounds"]))
    elif values["field"] == "rounds" and str(values["value"]).strip().isdecimal():
        tail.rounds = max(tail.rounds, int(values["value"]))
