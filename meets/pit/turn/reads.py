"""One turn as it stands, and whom its trial might belong to."""

from dataclasses import dataclass

from meets.models import Event, PitSession
from meets.pit.draft import LATER, NO_READING, NO_SIGN, NOTATION, UNSAID, Draft, Flag
from meets.pit.written import Written, event_of, written
from meets.running.reads import Person, session_view
from meets.running.trials import find_turn
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.trials import Result, Trial

_FLAGS = {sign: flag for flag, sign in NOTATION.items()}


@dataclass(frozen=True, slots=True)
class TurnPage:
    """A turn with what is written for it; `trial` None while nothing stands, `seen` names the rows that are shown."""

    event: Event
    turn: Turn
    person: Person
    unit: Unit
    trial: Written | None
    draft: Draft
    void: tuple[tuple[str, str], ...]
    said: tuple[Written, ...]
    others: tuple[Person, ...]
    gauge: bool
    triple: bool
    seen: str


def turn_page(session: PitSession, turn: Turn) -> TurnPage | None:
    """None if the session has no such entry, or the event no such round."""
    view = session_view(session)
    event_id = event_of(view, turn.entry)
    if event_id is None:
        return None
    event, state, people = view.events[event_id], view.states[event_id], view.people[event_id]
    unit, found = Unit(event.meet.unit), find_turn(state, turn)
    if found is None and (turn.replacement or not 1 <= turn.round <= state.rounds):
        return None
    trial = found.trial if found else None
    return TurnPage(
        event=event,
        turn=turn,
        person=people[turn.entry],
        unit=unit,
        trial=written(turn, trial, unit) if trial else None,
        draft=draft_of(trial, unit) if trial else Draft(),
        void=tuple((written(turn, old, unit).text, why) for old, why in found.void) if found else (),
        said=tuple(written(turn, one, unit) for one in found.said) if found else (),
        others=tuple(people[entry.line.entry] for entry in state.entries if entry.line.entry != turn.entry),
        gauge=not state.no_gauge,
        triple=event.discipline == "TJ",
        seen=" ".join((*found.rows, *found.wind_rows)) if found else "",
    )


def draft_of(trial: Trial, unit: Unit) -> Draft:
    """A trial that stands, as the answers that would write it."""
    flag = Flag.WHITE if trial.result is Result.MARK else _FLAGS[str(trial.result)]
    sign = tenths = ""
    if trial.wind is not None:
        if trial.wind.tenths is None:
            sign = NO_READING
        elif trial.wind.tenths == 0:
            sign = NO_SIGN
        else:
            sign, tenths = "-" if trial.wind.tenths < 0 else "+", str(abs(trial.wind.tenths))
    elif trial.mark is not None:
        sign = LATER
    return Draft(
        flag=str(flag),
        why=(str(trial.reason) or UNSAID) if flag is Flag.RED else "",
        protest="1" if trial.under_protest else "",
        digits="" if trial.mark is None else show_mark(trial.mark, unit),
        sign=sign,
        tenths=tenths,
    )
