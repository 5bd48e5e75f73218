"""What the referee of a session has to decide before it can go on, in one sentence for each."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.running.reads import SessionView
from scoring.state import EventState, Stage


@dataclass(frozen=True, slots=True)
class Due:
    """A decision about an event: its name (trials, cut, order, close, disputes, away) and a sentence."""

    event_id: int
    event: str
    kind: str
    sentence: str


def due_of(view: SessionView) -> tuple[Due, ...]:
    """Decisions that are due, in the order of the events."""
    return tuple(
        Due(event_id, view.events[event_id].name, kind, sentence)
        for event_id, state in view.states.items()
        for kind, sentence in _due(state)
    )


def _due(state: EventState) -> list[tuple[str, str]]:
    if state.stage in (Stage.CLOSED, Stage.ABANDONED, Stage.SUSPENDED):
        return []
    if state.stage is Stage.NOT_DRAWN:
        return [("draw", _("The start list is not drawn yet: the desk draws it."))]
    found = []
    if state.disputes:
        says = ngettext(
            "%(count)d trial differs between two recorders: the referee settles it.",
            "%(count)d trials differ between two recorders: the referee settles them.",
            len(state.disputes),
        )
        found.append(("disputes", says % {"count": len(state.disputes)}))
    if state.trials_proposal is not None:
        found.append(("trials", _("Round 1 is over: the referee confirms how many trials each takes.")))
    if state.cut_proposal is not None:
        says = _("The cut after round %(round)d is to be taken and the order read out.")
        found.append(("cut", says % {"round": state.cut_proposal.after_round}))
    elif state.order_proposal is not None:
        says = _("The order of round %(round)d is to be called.")
        found.append(("order", says % {"round": state.order_proposal.round}))
    if state.waiting_for:
        bibs = ", ".join(state.entry(entry).line.bib for entry in state.waiting_for)
        found.append(("away", _("The round waits for bib %(bibs)s, away with leave.") % {"bibs": bibs}))
    if state.stage is Stage.FINISHED:
        found.append(("close", _("All trials are taken: read the places, sign the sheet, close the event.")))
    return found
