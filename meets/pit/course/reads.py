"""How the rest of an event could go: what the referee chooses from when rain, light or buses decide. Plain values."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.models import Event, PitSession
from meets.running.actions import completed_rounds, last_round_begun
from meets.running.reads import Person, session_view


@dataclass(frozen=True, slots=True)
class CoursePage:
    """`flights`: entry keys in order; `to_jump`: who has a turn in a round that nobody has begun; `next_rounds`: those
    rounds; `may_end_after`: rounds that could be the last one; `still_to_go`: what is left of the round that is on;
    `by_the_rule`: what counts if it is abandoned.
    """

    event: Event
    people: Mapping[str, Person]
    over: bool
    flights: tuple[tuple[str, ...], ...]
    to_jump: frozenset[str]
    pits: tuple[str, ...]
    round: int
    rounds: int
    next_rounds: tuple[int, ...]
    may_end_after: tuple[int, ...]
    still_to_go: str
    completed: int
    by_the_rule: str


def course_page(session: PitSession, event_id: int) -> CoursePage | None:
    """None if the event is not in the session."""
    view = session_view(session)
    if event_id not in view.states:
        return None
    event, state = view.events[event_id], view.states[event_id]
    begun = last_round_begun(state)
    left = sum(turn.turn.round <= begun for turn in state.turns)
    completed = completed_rounds(state)
    return CoursePage(
        event=event,
        people=view.people[event_id],
        over=state.stage.is_over,
        flights=state.flights,
        to_jump=frozenset(turn.turn.entry for turn in state.turns if turn.turn.round > begun),
        pits=tuple(event.meet.pits.values_list("name", flat=True)),
        round=begun,
        rounds=state.rounds,
        next_rounds=tuple(range(begun + 1, state.rounds + 1)),
        may_end_after=tuple(range(max(begun, 1), state.rounds)),
        still_to_go=_still_to_go(left, begun) if left else "",
        completed=completed,
        by_the_rule=_by_the_rule(completed, state.rules.abandon_rounds),
    )


def _still_to_go(left: int, round: int) -> str:
    says = ngettext(
        "One turn of round %(round)d is still to go: it is taken first, in the order as it was.",
        "%(left)d turns of round %(round)d are still to go: they are taken first, in the order as it was.",
        left,
    )
    return says % {"left": left, "round": round}


def _by_the_rule(completed: int, needed: int) -> str:
    complete = ngettext("%(n)d round is complete.", "%(n)d rounds are complete.", completed) % {"n": completed}
    least = ngettext(
        "By the rules a result stands from %(n)d round on.",
        "By the rules a result stands from %(n)d rounds on.",
        needed,
    )
    counts = _("So what was completed counts.") if completed >= needed else _("So there would be no result.")
    return f"{complete} {least % {'n': needed}} {counts}"
