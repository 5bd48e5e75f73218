"""The athletes of a session, their trials and the turns to come, as phones show them."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from django.utils.translation import gettext as _

from meets.entries.values import show_board
from meets.models import Event
from meets.pit.boards import boards_for
from meets.pit.keys.roles import DECIDING
from meets.pit.people.reads import status_words
from meets.pit.phone.own import Own
from meets.pit.phone.told_turns import Athlete, Board, LastTrial, OpenTurn, Range, Trial
from meets.pit.rounds import count, flight_of, flight_words, round_words, with_cut
from meets.pit.sync.views import in_ms
from meets.pit.written import turn_name, wind_shown
from meets.running.reach import reach_by_board
from meets.running.reads import Person, QueuedTurn, SessionView, sand_cm_of
from meets.running.words import year_words
from scoring.bands import marks_inside
from scoring.callorder import CONSECUTIVE, REPLACEMENT
from scoring.clock import clock_s
from scoring.facts import WindRead
from scoring.log import Row, Standing, Turn
from scoring.marks import Unit, show_mark
from scoring.rulesets import RuleSet
from scoring.state import EntryState, TurnState
from scoring.trials import FAIL_REASONS, Result, show_trial
from scoring.trials import Trial as EngineTrial
from scoring.wind import Wind

LAST = 3


def people(own: Own) -> dict[str, Athlete]:
    found = {}
    for event_id, state in own.view.states.items():
        event, entries = own.view.events[event_id], own.view.entries[event_id]
        unit = Unit(event.meet.unit)
        sand = sand_by_entry(own.view, event_id)
        boards = {board.cm for board in boards_of(event, own.view)}
        doubts = reach_by_board(event, entries, {entry.line.entry: sorted(boards) for entry in state.entries})
        named = {str(entry.pk): entry.named_at_pit for entry in entries}
        for entry in state.entries:
            key = entry.line.entry
            at_pit = f"new-{named[key]}" if named[key] else ""
            person = own.view.people[event_id][key]
            board_cm = board_of(own.view, event, entry)
            can_be = _range(board_cm, sand[key], state.rules, unit)
            found[key] = _athlete(event_id, unit, entry, person, board_cm, can_be, reaches=doubts[key], named=at_pit)
    return found


def _athlete(
    event_id: int,
    unit: Unit,
    entry: EntryState,
    person: Person,
    board_cm: int | None,
    can_be: Range | None,
    *,
    reaches: Mapping[int, str],
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
        reach=reaches.get(entry.board_cm or 0, ""),
        reaches={str(cm): says for cm, says in reaches.items()},
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
        winds = own.logs[item.event_id].winds.get(turn, [])
        wind = Wind(winds[0].fact.tenths) if winds else None
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
                wind_tenths=None if wind is None else wind.tenths,
                wind=wind_shown(wind),
                wind_rows=[row.id for row in winds],
            )
        )
    return found


def _why(item: QueuedTurn) -> str:
    """Why a turn is out of the row; a replacement trial keeps its name, whatever else it is."""
    return {REPLACEMENT: _("replacement trial"), CONSECUTIVE: _("consecutive trial")}.get(item.why, "")


def series(own: Own) -> dict[str, list[Trial]]:
    """Everybody's trials in order, those that were replaced or voided before what stands."""
    found = {}
    for event_id, state in own.view.states.items():
        unit, owed = Unit(own.view.events[event_id].meet.unit), {*owed_winds(own, event_id)}
        for entry in state.entries:
            if entry.turns:
                found[entry.line.entry] = list(_trials(entry, owed, own.logs[event_id], unit))
    return found


def owed_winds(own: Own, event_id: int) -> tuple[Turn, ...]:
    """Measured trials whose wind nobody has said; of a second record only if it takes winds at all."""
    log = own.logs[event_id]
    takes_none = own.blind and not any(row.recorder == own.record for rows in log.winds.values() for row in rows)
    return () if takes_none else own.view.states[event_id].owed_winds


def _trials(entry: EntryState, owed: Collection[Turn], log: Standing, unit: Unit) -> Iterator[Trial]:
    best = entry.series.best_trial
    for turn in entry.turns:
        for trial, why in turn.void:
            yield _trial(turn, trial, unit, void=True, reason=why)
        if turn.trial is not None:
            failed = turn.trial.result is Result.FAIL and turn.trial.reason
            reason = _(FAIL_REASONS[turn.trial.reason]) if failed else ""
            written = [log.by_id[row] for row in (*turn.rows, *turn.wind_rows)]
            settled = any(row.recorder in DECIDING and row.supersedes for row in written)
            is_best, is_owed = turn.trial is best, turn.turn in owed
            yield _trial(turn, turn.trial, unit, best=is_best, owed=is_owed, reason=reason, settled=settled)


def _trial(
    turn: TurnState,
    trial: EngineTrial,
    unit: Unit,
    *,
    void: bool = False,
    best: bool = False,
    owed: bool = False,
    reason: str = "",
    settled: bool = False,
) -> Trial:
    return Trial(
        turn=turn_name(turn.turn),
        round=turn.turn.round,
        replacement=turn.turn.replacement,
        result=str(trial.result),
        mark=trial.mark,
        shown=show_trial(trial, unit),
        wind_tenths=None if trial.wind is None else trial.wind.tenths,
        wind=wind_shown(trial.wind),
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
        settled=settled,
    )


def last(own: Own, *, public: bool = False, most: int = LAST) -> list[LastTrial]:
    """The trials written last, newest first; for the public without what is still to be decided."""
    heads = ((pk, turn, rows) for pk, log in own.logs.items() for turn, rows in log.heads.items() if rows)
    return _latest(own, heads, public=public, most=most)


def last_winds(own: Own) -> list[LastTrial]:
    """The winds read last, newest first, also where the trial has not been written yet."""
    winds = ((pk, turn, rows) for pk, log in own.logs.items() for turn, rows in log.winds.items() if rows)
    return _latest(own, winds, public=False, most=LAST)


def _latest(
    own: Own, written: Iterable[tuple[int, Turn, Sequence[Row]]], *, public: bool, most: int
) -> list[LastTrial]:
    found: list[LastTrial] = []
    for event_id, turn, rows in sorted(written, key=lambda one: _when(one[2]), reverse=True):
        if turn.entry not in own.view.people[event_id]:
            continue
        turns = own.view.states[event_id].entry(turn.entry).turns
        stands = next((one for one in turns if one.turn == turn and one.trial is not None), None)
        unit, fact = Unit(own.view.events[event_id].meet.unit), rows[0].fact
        shown = show_trial(stands.trial, unit) if stands else ""
        wind = Wind(fact.tenths) if isinstance(fact, WindRead) else stands.trial.wind if stands else None
        said = (shown, wind_shown(wind)) if not (public and stands and stands.held) else (_("being checked"), "")
        if stands or isinstance(fact, WindRead):
            bib = own.view.people[event_id][turn.entry].bib
            at = max((in_ms(row.at) for row in rows if row.at), default=0)
            found.append(LastTrial(turn_name(turn), turn.entry, event_id, bib, *said, at))
        if len(found) == most:
            break
    return found


def _when(rows: Sequence[Row]) -> tuple[float, int]:
    return max((row.at.timestamp() if row.at else 0.0, row.rev) for row in rows)
