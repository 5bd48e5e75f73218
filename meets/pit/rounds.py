"""Where in its round a turn stands, in words and numbers: round 2 of 3, flight 1, turn 7 of 12."""

from collections.abc import Iterable

from django.utils.translation import gettext as _

from meets.models import LogRow
from scoring.log import Turn
from scoring.progress import effective_cuts
from scoring.state import EventState


def with_cut(event_ids: Iterable[int]) -> dict[int, bool]:
    """By event: whether a cut was confirmed, where the number of trials is."""
    rows = LogRow.objects.filter(event__in=event_ids, kind="trials_confirmed").order_by("rev")
    return {event_id: bool(values.get("with_cut")) for event_id, values in rows.values_list("event_id", "values")}


def round_words(state: EventState, round: int, with_cut: bool | None) -> str:
    """`with_cut` as confirmed for the event, None while nobody has."""
    return _("Round %(round)d of %(of)d") % {"round": round, "of": _last_round(state, round, with_cut)}


def flight_words(state: EventState, flight: int) -> str:
    """'' where there is one flight, or where they are joined."""
    return _("flight %(flight)d") % {"flight": flight} if flight and len(state.flights) > 1 else ""


def _last_round(state: EventState, round: int, with_cut: bool | None) -> int:
    """The last round that everybody now jumping knows of: up to the next cut, else the end."""
    ends = [cut.after_round for cut in state.cuts]
    if with_cut is False:
        return state.rounds
    pending = [after for after in effective_cuts(state.rules, None) if after not in ends and after >= round]
    return min([*pending, state.rounds])


def flight_of(state: EventState, turn: Turn) -> int:
    """The flight in which a turn is called; that of the athlete where it is not open."""
    return next((item.flight for item in state.turns if item.turn == turn), state.entry(turn.entry).flight)


def count(state: EventState, round: int, flight: int) -> tuple[int, int]:
    """How many turns of this round and flight are taken, of how many."""
    left = sum(item.turn.round == round and item.flight == flight and not item.turn.replacement for item in state.turns)
    still_open = {item.turn for item in state.turns}  # also a turn whose trial was moved to somebody else
    taken = sum(
        any(
            t.turn.round == round
            and (t.trial is not None or t.void)
            and not t.turn.replacement
            and t.turn not in still_open
            for t in entry.turns
        )
        for entry in state.entries
        if flight in (0, entry.flight)
    )
    return taken, taken + left
