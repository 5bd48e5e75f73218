"""The state of a session for a phone: put together once for each change and role, then only handed out."""

import json
from collections import OrderedDict
from dataclasses import dataclass, replace
from datetime import datetime
from threading import Lock
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from meets.models import Device, Event, PitSession, Role
from meets.pit.draft import UNSAID
from meets.pit.keys.access import Caller
from meets.pit.keys.reads import sessions_of
from meets.pit.phone import decide, slips, turns
from meets.pit.phone.check import check_to_look_at, checks_of
from meets.pit.phone.measured import boards_to_measure
from meets.pit.phone.own import Own, own_view
from meets.pit.phone.state import VERSION, Body, Head, Missing, Named, OnDisplay, Session, plain
from meets.pit.phone.told_decisions import Reason
from meets.pit.phone.told_turns import Athlete, EventNow
from meets.pit.phone.version import Now, now_of
from meets.pit.screen.asking import fail_reasons
from meets.pit.sync.reads import gaps_of
from meets.pit.sync.views import in_ms
from meets.running.reads import is_triple
from scoring.marks import Unit
from scoring.state import EntryState, EventState, Stage

_KEPT_BODIES = 64
_TRIES = 3
_bodies: OrderedDict[str, str] = OrderedDict()
_one_at_a_time = Lock()
LEADERS = 3


@dataclass(frozen=True, slots=True)
class Told:
    """The state as text, and its version."""

    version: str
    text: str


def opened_by(caller: Caller, session_id: int) -> PitSession | None:
    """The session, if the key of the phone covers it."""
    covered = {session.pk: session for session in sessions_of(caller.key)}
    found = covered.get(session_id)
    if found is not None:
        found.pit.meet = caller.device.meet
    return found


def state_of(session: PitSession, device: Device, role: str, now: datetime, known: Now) -> Told:
    """The state for a phone in a role. `known`: how things stood a moment ago.

    What is worked out while somebody records would say less or more than its version: it is then done again.
    """
    for tries_left in reversed(range(_TRIES)):
        body = _kept(known.body_key)
        if body is not None:
            break
        body = body_text(session, role)
        after = now_of(session, device, role, now)
        if after.body_key == known.body_key:
            _keep(known.body_key, body)
            break
        if tries_left:
            known = after
    return Told(known.version, _joined(_head(session, device, role, known, now), body))


def _kept(key: str) -> str | None:
    with _one_at_a_time:
        if key in _bodies:
            _bodies.move_to_end(key)
        return _bodies.get(key)


def _keep(key: str, body: str) -> None:
    with _one_at_a_time:
        _bodies[key] = body
        while len(_bodies) > _KEPT_BODIES:
            _bodies.popitem(last=False)


def _joined(head: Head, body: str) -> str:
    """One object of both; the body is kept as text and can be long."""
    return f"{_json(head)[:-1]},{body[1:]}"


def _json(value: object) -> str:
    return json.dumps(plain(value), ensure_ascii=False, separators=(",", ":"))


def _head(session: PitSession, device: Device, role: str, known: Now, now: datetime) -> Head:
    return Head(
        v=VERSION,
        version=known.version,
        server_epoch=known.server_epoch,
        now=in_ms(now),
        role=role,
        included=known.included,
        clock=known.clock,
        gauge_on=known.gauge_on,
        second_on=known.second_on,
        in_review=known.in_review,
        missing=_missing(session, known) if role in (Role.RECORDER, Role.REFEREE) else (),
        beside=_beside(known),
    )


def _beside(known: Now) -> list[str]:
    """What the official has to settle with whoever holds the other phone."""
    says = _("Phone %(number)d (%(official)s) writes this record too. Agree which of you goes on.")
    return [says % {"number": number, "official": official or _("no name")} for number, official in known.beside]


def _missing(session: PitSession, known: Now) -> list[Missing]:
    """What other phones have numbered and not brought."""
    found = []
    behind = Device.objects.filter(meet=session.pit.meet_id, number__in=known.behind).order_by("number")
    for device in behind:
        gaps = gaps_of(device)
        if gaps:
            seqs = ", ".join(str(gap.first) if gap.many == 1 else f"{gap.first}–{gap.last}" for gap in gaps)
            values = {"number": device.number, "official": device.official, "seqs": seqs}
            says = _("Phone %(number)d (%(official)s) has not sent its entries %(seqs)s yet.") % values
            found.append(Missing(device.number, device.official, says))
    return found


def body_text(session: PitSession, role: str) -> str:
    """What all phones of a role are told, as JSON."""
    own = own_view(session, role)
    return _json(_display(own) if role == Role.DISPLAY else _body(own))


def _body(own: Own) -> Body:
    session, blind, gauge = own.view.session, own.blind, own.role == Role.GAUGE
    unit = Unit(session.pit.meet.unit)
    checks = checks_of(own) if own.role in (Role.RECORDER, Role.SECOND, Role.REFEREE) else []
    return Body(
        meet=Named(session.pit.meet.pk, session.pit.meet.name),
        session=_session(session),
        unit="cm" if unit is Unit.CM else "quarter inch",
        digits=_digits(own, unit),
        events=events_now(own),
        people=turns.people(own),
        queue=turns.queue(own),
        series={} if gauge else turns.series(own),
        last=turns.last_winds(own) if gauge else turns.last(own),
        asks={} if gauge else slips.asks(own),
        ask_winds=slips.ask_winds(own),
        ask_same=slips.ask_same(),
        ask_order=slips.ask_order(),
        reasons=_reasons(own),
        due=[] if blind or gauge else decide.due(own, boards_to_measure(own)),
        alarms=[] if blind or gauge else decide.alarms(own),
        disputes=[] if gauge else decide.disputes(own),
        owed=decide.owed(own),
        protests=[] if blind or gauge else decide.protests(own),
        trials=None if blind or gauge else decide.trials(own),
        cut=None if blind or gauge else decide.cut(own),
        places=[] if blind or gauge else decide.places(own),
        check=check_to_look_at(checks),
        checks=checks,
        links=decide.links(own),
    )


def _display(own: Own) -> OnDisplay:
    queue = [turn for turn in turns.queue(own) if not turn.away][:1]
    last = turns.last(own, public=True, most=1)
    shown = {turn.entry for turn in (*queue, *last)}
    return OnDisplay(
        meet=Named(own.view.session.pit.meet.pk, own.view.session.pit.meet.name),
        session=_session(own.view.session),
        unit="cm" if Unit(own.view.session.pit.meet.unit) is Unit.CM else "quarter inch",
        events=events_now(own),
        people={
            entry: _public(person, own.whole.states[person.event].entry(entry))
            for entry, person in turns.people(own).items()
            if entry in shown
        },
        queue=queue,
        last=last,
        places=decide.public_places(own, LEADERS),
    )


def _public(person: Athlete, entry: EntryState) -> Athlete:
    """Without a best that is being checked, and without what only officials need."""
    if decide.is_being_checked(entry):
        person = replace(person, best="", best_mark=None)
    return replace(person, reach="", reaches={})


def _session(session: PitSession) -> Session:
    zone = ZoneInfo(session.pit.meet.time_zone)
    starts = f"{session.starts_at.astimezone(zone):%H:%M}" if session.starts_at else ""
    return Session(session.pk, session.name, session.pit.name, starts, bool(session.pit.gauge))


def _digits(own: Own, unit: Unit) -> int:
    """Digits of a usual mark, all of them typed: 543, 1043, in feet and inches 160450."""
    if unit is Unit.QUARTER_INCH:
        return 6
    triple = any(is_triple(event) for event in own.view.events.values())
    return 4 if triple else 3


def _reasons(own: Own) -> dict[str, list[Reason]]:
    return {
        str(pk): [
            Reason("" if value == UNSAID else value, says) for value, says in fail_reasons(triple=is_triple(event))
        ]
        for pk, event in own.view.events.items()
    }


def events_now(own: Own) -> list[EventNow]:
    return [_event_now(own, event, own.view.states[event.pk]) for event in own.view.events.values()]


def _event_now(own: Own, event: Event, state: EventState) -> EventNow:
    unit, triple = Unit(event.meet.unit), is_triple(event)
    boards = turns.boards_of(event, own.view)
    return EventNow(
        id=event.pk,
        name=event.name,
        triple=triple,
        stage=str(state.stage),
        says=_stage_words(state),
        ready=state.ready,
        no_gauge=state.no_gauge,
        over=state.stage.is_over,
        closed=state.stage is Stage.CLOSED,
        suspended=(state.suspended_reason or _("suspended")) if state.stage is Stage.SUSPENDED else "",
        seconds=state.clock_s,
        warning=state.rules.warning_seconds,
        boards=boards,
        needs_board=len(boards) > 1,
        waits=_waits(own, event.pk, state),
        round=state.round,
        rounds=state.rounds,
        list_version=state.draw_version,
        any_order=state.rules.call == "open pit",
        longest=slips.longest_mark(state.rules, unit, triple=triple),
        board_off_cm=state.rules.board_tolerance_cm,
        link=decide.decide_link(own.whole, event.pk),
    )


def _stage_words(state: EventState) -> str:
    said = {
        Stage.NOT_DRAWN: _("The start list is not drawn yet."),
        Stage.DRAWN: _("Nobody has jumped yet."),
        Stage.IN_PROGRESS: _("Round %(round)d") % {"round": state.round},
        Stage.SUSPENDED: _("Stopped: nobody jumps."),
        Stage.FINISHED: _("All trials are taken."),
        Stage.ABANDONED: _("Abandoned."),
        Stage.CLOSED: _("Closed: the sheet is signed."),
    }
    return said[state.stage]


def _waits(own: Own, event_id: int, state: EventState) -> str:
    """Whom an event waits for while nobody of it can be called here: somebody away, or a flight at another pit."""
    if any(item.event_id == event_id and not item.away for item in own.view.queue):
        return ""
    if state.waiting_for:
        bibs = ", ".join(state.entry(entry).line.bib for entry in state.waiting_for)
        return _("Waiting for bib %(bibs)s, away with leave.") % {"bibs": bibs}
    here = {item.turn for item in own.view.queue if item.event_id == event_id}
    elsewhere = [item for item in state.turns if item.turn not in here]
    if not elsewhere:
        return ""
    values = {"flight": elsewhere[0].flight, "many": len(elsewhere)}
    return _("Waiting for flight %(flight)d at another pit: %(many)d turns to go.") % values
