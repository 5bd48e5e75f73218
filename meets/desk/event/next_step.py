"""What is next to do in an event, in one sentence, and the page where it is done."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy
from django.utils.translation import ngettext

from meets.publishing.next_words import Next
from scoring.state import EventState, Stage


@dataclass(frozen=True)
class NextStep:
    """`page` is the name of a page of the desk or of another part, `args` what its address needs beside the event.

    `doing` says what its button says.
    """

    says: str
    page: str
    doing: str
    urgent: bool = False
    args: tuple[object, ...] = ()


def next_step(
    state: EventState, bibs: Mapping[str, str], session_id: int | None, publishing: Next | None = None
) -> NextStep:
    """The one thing to do next. `bibs`: of everybody entered; `session_id` where the event is recorded.

    `publishing`: what comes next for its result.
    """
    record = NextStep("", "pit:session", _("Record trials"))
    if session_id is None:
        record = NextStep("", "desk:pits", _("Put it into a session"))
    match state.stage:
        case Stage.NOT_DRAWN:
            return _before_the_draw(len(bibs))
        case Stage.DRAWN:
            return _before_the_start(state, record)
        case Stage.SUSPENDED:
            why = (state.suspended_reason or _("no reason given")).rstrip(".")
            return NextStep(_("Suspended: %(why)s.") % {"why": why}, "desk:decide", _("Resume"), True, ("resume",))
        case Stage.CLOSED:
            if publishing is None:
                return NextStep(_("Closed."), "sheets:list", _("Sheets"))
            return NextStep(publishing.says, "publishing:event", publishing.doing, publishing.urgent)
        case Stage.FINISHED | Stage.ABANDONED:
            return _at_the_end(state, publishing)
        case _:
            return _in_progress(state, record)


def _before_the_draw(entered: int) -> NextStep:
    if not entered:
        return NextStep(_("Nobody is entered."), "entries:list", _("Entries"))
    said = ngettext("%(count)d entered, not drawn.", "%(count)d entered, not drawn.", entered)
    return NextStep(said % {"count": entered}, "desk:draw", _("Draw"))


def _before_the_start(state: EventState, record: NextStep) -> NextStep:
    missing = sum(not entry.checked_in and entry.status != "DNS" for entry in state.entries)
    if missing:
        said = _("Drawn; %(missing)d of %(all)d not checked in.")
        words = said % {"missing": missing, "all": len(state.entries)}
        return NextStep(words, "desk:check_in", _("Check in"))
    return NextStep(_("Checked in; nobody has jumped yet."), record.page, record.doing)


def _in_progress(state: EventState, record: NextStep) -> NextStep:
    if state.disputes:
        said = ngettext(
            "%(count)d disagreement between the recorders.",
            "%(count)d disagreements between the recorders.",
            len(state.disputes),
        )
        words = said % {"count": len(state.disputes)}
        return NextStep(words, "desk:turn", _("Settle it"), True, tuple(state.disputes[0]))
    if state.trials_proposal:
        return NextStep(_("Round 1 is over: how many trials each?"), "desk:cut", _("Confirm the trials"), True)
    if state.cut_proposal:
        words = _("The cut after round %(round)d is to be taken.") % {"round": state.cut_proposal.after_round}
        return NextStep(words, "desk:cut", _("Take the cut"), True)
    if state.order_proposal:
        words = _("The order for round %(round)d is to be called.") % {"round": state.order_proposal.round}
        return NextStep(words, "desk:cut", _("Call the order"), True)
    taken, all_turns = turns_of_round(state)
    words = _("Round %(round)d, %(taken)d of %(all)d.") % {"round": state.round, "taken": taken, "all": all_turns}
    return NextStep(words, record.page, record.doing)


def _at_the_end(state: EventState, publishing: Next | None) -> NextStep:
    """All trials are taken. Many publish before they close, so what is published is said first."""
    published = publishing is not None and publishing.version > 0
    ended = _("Abandoned.") if state.stage is Stage.ABANDONED else _("All trials are taken.")
    says = publishing.says if published else ended
    if state.owed_winds:
        said = ngettext("%(count)d wind is owed.", "%(count)d winds are owed.", len(state.owed_winds))
        owed = said % {"count": len(state.owed_winds)}
        return NextStep(f"{says} {owed}", "desk:winds", _("Type the winds"))
    if published and publishing.urgent:
        return NextStep(says, "publishing:event", publishing.doing, True)
    if published:
        says = f"{says} {_('Not closed yet.')}"
    return NextStep(says, "desk:decide", _("Close"), args=("close",))


def turns_of_round(state: EventState) -> tuple[int, int]:
    """How many turns of the current round are taken, of how many."""
    left = sum(turn.turn.round == state.round for turn in state.turns)
    taken = sum(state.round in entry.by_round for entry in state.entries)
    return taken, taken + left


STAGE_WORDS = {
    Stage.NOT_DRAWN: lazy("not drawn"),
    Stage.DRAWN: lazy("drawn"),
    Stage.IN_PROGRESS: lazy("in progress"),
    Stage.SUSPENDED: lazy("suspended"),
    Stage.FINISHED: lazy("all trials taken"),
    Stage.ABANDONED: lazy("abandoned"),
    Stage.CLOSED: lazy("closed"),
}
