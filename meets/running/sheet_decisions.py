"""The decisions that a field sheet shows were taken: number of trials, cut, order. Stored as taken, not as computed."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from meets.running.on_paper import LaterBlock
from meets.running.sheet_rows import SheetRows
from meets.running.words import say
from scoring.explain import explain_trials
from scoring.facts import CutTaken, OrderCalled, TrialsConfirmed
from scoring.state import EventState


def decide(rows: SheetRows, block: LaterBlock, reason: str, *, order_written: bool) -> bool:
    """Add the decisions before a block of later rounds. False if they cannot have been taken yet; then it is said."""
    listed = [entry for entry in dict.fromkeys(block.order) if entry in rows.entries]
    state = rows.state()
    missing = [turn.turn for turn in state.turns if turn.turn.round < block.first]
    if missing:
        if not rows.out.refused:
            bibs = ", ".join(dict.fromkeys(rows.bibs[turn.entry] for turn in missing))
            says = _("The rounds before round %(round)s are not complete: bib %(bibs)s.")
            rows.refuse(says % {"round": block.first, "bibs": bibs})
        return False
    if state.trials_proposal is not None:
        state = _confirm(rows, state, block, listed, reason)
    if state.cut_proposal is not None:
        state = _cut(rows, state, listed, reason)
    if state.order_proposal is not None:
        _order(rows, state, listed, reason, order_written)
    return True


def _confirm(rows: SheetRows, state: EventState, block: LaterBlock, listed: Sequence[str], reason: str) -> EventState:
    """As proposed, unless everybody who can still jump has a line and the cut would leave some of them out."""
    proposal = state.trials_proposal
    assert proposal is not None
    as_proposed = TrialsConfirmed(proposal.starters, proposal.rounds, proposal.with_cut)
    cut = rows.state(as_proposed).cut_proposal
    still = {e.line.entry for e in state.entries if e.flight and not e.finished and e.status not in ("DNS", "DQ")}
    if cut is not None and set(listed) >= still and set(listed) != {*cut.going_on, *cut.under_protest}:
        says = _("%(starters)s started and everybody has a line from round %(round)s on: no cut was made.")
        rows.decided(says % {"starters": proposal.starters, "round": block.first}, departs=True)
        rows.add(TrialsConfirmed(proposal.starters, proposal.rounds, False), reason=reason)
    else:
        rows.decided(say(explain_trials(proposal, cut_after=block.first - 1)))
        rows.add(as_proposed)
    return rows.state()


def _cut(rows: SheetRows, state: EventState, listed: Sequence[str], reason: str) -> EventState:
    proposal = state.cut_proposal
    assert proposal is not None
    inside = (*proposal.going_on, *proposal.under_protest)
    going_on = [entry for entry in proposal.going_on if entry in listed]
    going_on += [entry for entry in listed if entry not in inside]
    protested = tuple(entry for entry in proposal.under_protest if entry in listed)
    more = [rows.bibs[entry] for entry in listed if entry not in inside]
    missing = [rows.bibs[entry] for entry in inside if entry not in listed]
    bibs = ", ".join(rows.bibs[entry] for entry in (*going_on, *protested))
    said = [_("Cut after round %(round)s: bibs %(bibs)s go on.") % {"round": proposal.after_round, "bibs": bibs}]
    if more:
        said.append(_("By the trials bib %(bibs)s would not.") % {"bibs": ", ".join(more)})
    if missing:
        said.append(_("By the trials bib %(bibs)s would too.") % {"bibs": ", ".join(missing)})
    departs = bool(more or missing)
    rows.decided(" ".join(said), departs)
    fact = CutTaken(proposal.after_round, tuple(going_on), proposal.going_on, protested)
    rows.add(fact, reason=reason if departs else "")
    return rows.state()


def _order(rows: SheetRows, state: EventState, listed: Sequence[str], reason: str, order_written: bool) -> None:
    proposal = state.order_proposal
    assert proposal is not None
    written = [entry for entry in listed if entry in proposal.order]
    # Who has no line (a DNS where no cut was made) stands in front, as in every order.
    order = (*(entry for entry in proposal.order if entry not in written), *written)
    if not order_written:
        order = proposal.order

    def shown(entries: Sequence[str]) -> str:
        return ", ".join(rows.bibs[entry] for entry in entries if entry in written)

    says = _("Order from round %(round)s: %(bibs)s.") % {"round": proposal.round, "bibs": shown(order)}
    if shown(order) != shown(proposal.order):
        says += " " + _("Proposed would be %(bibs)s.") % {"bibs": shown(proposal.order)}
    rows.decided(says)
    fact = OrderCalled(proposal.round, order, proposal.order)
    rows.add(fact, reason=reason if order != proposal.order else "")
