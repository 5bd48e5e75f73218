"""The athletes of a session, their trials and the turns to come, as phones show them."""

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _

from meets.entries.values import show_board
from meets.models import Event
from meets.pit.boards import boards_for
from meets.pit.people.reads import status_words
from meets.pit.phone.own import Own
from meets.pit.phone.state import Athlete, Board, LastTrial, OpenTurn, Range, Trial
from meets.pit.rounds import count, flight_of, flight_words, round_words, with_cut
from meets.pit.sync.views import in_ms
from meets.pit.written import turn_name
from meets.running.reach import reach_doubts
from meets.running.reads import Person, QueuedTurn, SessionView, sand_cm_of
from meets.running.words import year_words
from scoring.bands import marks_inside
from scoring.callorder import CONSECUTIVE, REPLACEMENT
from scoring.clock import clock_s
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.rulesets import RuleSet
from scoring.state import EntryState, EventState, TurnState
from scoring.trials import FAIL_REASONS, Result, show_trial
from scoring.trials import Trial as EngineTrial
from scoring.wind import show_wind

LAST = 3


def people(own: Own) -> dict[str, Athlete]:
    found = {}
    for event_id, state in own.view.states.items():
        event, entries = own.view.events[event_id], own.view.entries[event_id]
        unit = Unit(event.meet.unit)
        sand = sand_by_entry(own.view, event_id)
        doubts = reach_doubts(event, entries, {entry.line.entry: entry.board_cm for entry in state.entries})
        named = {str(entry.pk): entry.named_at_pit for entry in entries}
        for entry in state.entries:
            key = entry.line.entry
            at_pit = f"new-{named[key]}" if named[key] else ""
            person = own.view.people[event_id][key]
            board_cm = board_of(own.view, event, entry)
            can_be = _range(board_cm, sand[key], state.rules, unit)
            found[key] = _athlete(event_id, unit, entry, person, board_cm, can_be, reach=doubts[key], named=at_pit)
    return found


def _athlete(
    event_id: int,
    unit: Unit,
    entry: EntryState,
    person: Person,
    board_cm: int | None,
    can_be: Range | None,
    *,
    reach: str,
    named: str,
) -> Athlete:
    return Athlete(
        event=event_id,
        bib=person.bib,
        name=person.name,
        school=person.school,
        year=year_words(person.year_group),
        tags=_tags(person, entry),
        board_cm=board_cm,
        board=show_board(board_cm, unit) if board_cm else "",
        best="" if entry.best is None else show_mark(entry.best, unit),
        best_mark=entry.best,
        away="" if entry.away is None else entry.away or _("away"),
        status=status_words(entry),
        finished=entry.finished,
        pending=entry.pending,
        checked_in=entry.checked_in,
        say_it=person.say_it,
        range=can_be,
        reach=reach,
        flight=entry.flight,
        order=entry.order,
        joined=entry.joined_round,
        named=named,
    )


def _tags(person: Person, entry: EntryState) -> list[str]:
    """What stands beside a name so that nobody is taken for another."""
    tags = [person.string] if person.string else []
    tags += [_("guest")] if entry.guest else []
    tags += [_("added at the pit")] if entry.pending else []
    return [*tags, *(_("also in %(event)s") % {"event": name} for name in person.also_in)]


def board_of(view: SessionView, event: Event, entry: EntryState) -> int | None:
    """The athlete's board, or the only one there is."""
    boards_cm = boards_for(event, view.session.pit.boards_cm)
    return entry.board_cm or (boards_cm[0] if len(boards_cm) == 1 else None)


def sand_by_entry(view: SessionView, event_id: int) -> dict[str, int | None]:
    """The length of the sand for everybody of an event: whoever has a turn here jumps into this one."""
    home = sand_cm_of(view.events[event_id])
    here = {item.turn.entry for item in view.queue if item.event_id == event_id}
    entries = (entry.line.entry for entry in view.states[event_id].entries)
    return {entry: view.session.pit.sand_cm if entry in here else home for entry in entries}


def _range(board_cm: int | None, sand_cm: int | None, rules: RuleSet, unit: Unit) -> Range | None:
    if not board_cm or not sand_cm:
        return None
    low, high = marks_inside(board_cm, sand_cm, rules.zone_depth_cm, unit)
    return Range(low, high, _("%(low)s to %(high)s") % {"low": show_mark(low, unit), "high": show_mark(high, unit)})


def boards_of(event: Event, view: SessionView) -> list[Board]:
    """The boards that athletes of an event jump from here."""
    state, pit, unit = view.states[event.pk], view.session.pit, Unit(event.meet.unit)
    own = {entry.board_cm for entry in state.entries if entry.board_cm}
    return [
        Board(cm, show_board(cm, unit), *marks_inside(cm, pit.sand_cm, state.rules.zone_depth_cm, unit))
        for cm in sorted({*boards_for(event, pit.boards_cm), *own})
    ]


def queue(own: Own) -> list[OpenTurn]:
    """Every open turn in call order. Clocks as if the list were jumped as it stands."""
    confirmed = with_cut(own.view.events)
    counts: dict[tuple[int, int, int], tuple[int, int]] = {}
    passed: dict[tuple[int, int, int], int] = {}
    found: list[OpenTurn] = []
    for item in own.view.queue:
        state, turn = own.view.states[item.event_id], item.turn
        flight = flight_of(state, turn)
        where = (item.event_id, turn.round, flight)
        if where not in counts:
            counts[where] = count(state, turn.round, flight)
        taken, of = counts[where]
        number = taken + passed.get(where, 0) + 1
        if not turn.replacement and not item.away:
            passed[where] = passed.get(where, 0) + 1
        called = [open_turn for open_turn in found if not open_turn.away]
        first = not called and not item.away
        consecutive = state.consecutive if first else bool(called) and called[-1].entry == turn.entry
        found.append(
            OpenTurn(
                turn=turn_name(turn),
                event=item.event_id,
                entry=turn.entry,
                round=turn.round,
                replacement=turn.replacement,
                title=round_words(state, turn.round, confirmed.get(item.event_id)),
                flight=flight_words(state, flight),
                number=min(number, of),
                of=of,
                away=item.away,
                why=_why(item),
                seconds=clock_s(state.rules, consecutive=consecutive),
                consecutive=consecutive,
            )
        )
    return found


def _why(item: QueuedTurn) -> str:
    """Why a turn is out of the row; a replacement trial keeps its name, whatever else it is."""
    return {REPLACEMENT: _("replacement trial"), CONSECUTIVE: _("consecutive trial")}.get(item.why, "")


def series(own: Own) -> dict[str, list[Trial]]:
    """Everybody's trials in order, those that were replaced or voided before what stands."""
    return {
        entry.line.entry: list(_trials(entry, state, Unit(own.view.events[event_id].meet.unit)))
        for event_id, state in own.view.states.items()
        for entry in state.entries
        if entry.turns
    }


def _trials(entry: EntryState, state: EventState, unit: Unit) -> Iterator[Trial]:
    best, owed = entry.series.best_trial, {*state.owed_winds}
    for turn in entry.turns:
        for trial, why in turn.void:
            yield _trial(turn, trial, unit, void=True, reason=why)
        if turn.trial is not None:
            failed = turn.trial.result is Result.FAIL and turn.trial.reason
            reason = _(FAIL_REASONS[turn.trial.reason]) if failed else ""
            is_owed = turn.turn in owed
            yield _trial(turn, turn.trial, unit, best=turn.trial is best, owed=is_owed, reason=reason)


def _trial(
    turn: TurnState,
    trial: EngineTrial,
    unit: Unit,
    *,
    void: bool = False,
    best: bool = False,
    owed: bool = False,
    reason: str = "",
) -> Trial:
    return Trial(
        turn=turn_name(turn.turn),
        round=turn.turn.round,
        replacement=turn.turn.replacement,
        result=str(trial.result),
        mark=trial.mark,
        shown=show_trial(trial, unit),
        wind_tenths=None if trial.wind is None else trial.wind.tenths,
        wind=show_wind(trial.wind),
        rows=() if void else turn.rows,
        wind_rows=() if void else turn.wind_rows,
        disputed=not void and turn.disputed,
        wind_disputed=not void and turn.wind_disputed,
        held=not void and turn.held,
        confirmed=not void and turn.confirmed,
        hidden=trial.mark is not None and trial.valid_mark is None,
        void=void,
        owed_wind=owed,
        best=best,
        board_cm=trial.board_cm,
        reason=reason,
    )


def last(own: Own, *, public: bool = False, most: int = LAST) -> list[LastTrial]:
    """The trials written last, newest first; for the public without what is still to be decided."""
    rows = [(event_id, row) for event_id, log in own.logs.items() for heads in log.heads.values() for row in heads]
    rows.sort(key=lambda pair: (pair[1].at is not None and pair[1].at.timestamp(), pair[1].rev), reverse=True)
    found: dict[str, LastTrial] = {}
    for event_id, row in rows:
        turn = Turn(row.fact.entry, row.fact.round, row.fact.replacement)
        name = turn_name(turn)
        state = next((t for t in _turns(own, event_id, turn.entry) if t.turn == turn), None)
        if name in found or state is None or state.trial is None:
            continue
        unit = Unit(own.view.events[event_id].meet.unit)
        shown, wind = show_trial(state.trial, unit), show_wind(state.trial.wind)
        if public and state.held:
            shown, wind = _("being checked"), ""
        bib = own.view.people[event_id][turn.entry].bib
        found[name] = LastTrial(name, turn.entry, event_id, bib, shown, wind, in_ms(row.at) if row.at else 0)
        if len(found) == most:
            break
    return list(found.values())


def _turns(own: Own, event_id: int, entry: str) -> Sequence[TurnState]:
    return own.view.states[event_id].entry(entry).turns if entry in own.view.people[event_id] else ()
