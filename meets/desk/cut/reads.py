"""What the referee decides between rounds: the number of trials, the cut, the order; each as proposed, with reasons."""

from collections.abc import Mapping
from dataclasses import dataclass

from meets.models import Event
from meets.running.reads import Person, entries_of, people_of, state_of
from meets.running.words import say
from scoring.cut import CutProposal
from scoring.explain import explain_cut, explain_trials
from scoring.marks import Unit, show_mark
from scoring.state import EventState


@dataclass(frozen=True)
class CutRow:
    """An athlete at the cut: the verdict with its reason, and the place in the order to be read out."""

    person: Person
    goes_on: bool
    under_protest: bool
    says: str
    marks: tuple[str, ...]
    position: int | None


@dataclass(frozen=True)
class Trials:
    """The number of trials as proposed after round 1."""

    says: str
    starters: int
    rounds: int
    with_cut: bool


@dataclass(frozen=True)
class Taken:
    """A cut as it was taken, with everybody's reason as of now."""

    after_round: int
    by: str
    reason: str
    going_on: tuple[Person, ...]
    under_protest: tuple[Person, ...]
    rows: tuple[CutRow, ...]


@dataclass(frozen=True)
class Decisions:
    """What is to be decided now, at most one of `trials`, `cut` and an order alone, and what was taken."""

    event: Event
    version: int
    trials: Trials | None
    cut_after: int | None
    how_many: int
    rows: tuple[CutRow, ...]
    order_round: int | None
    order: tuple[Person, ...]
    people: Mapping[str, Person]
    taken: tuple[Taken, ...]


def decisions_of(event: Event) -> Decisions:
    entries = entries_of(event)
    state = state_of(event, entries)
    people = people_of(event, entries)
    unit = Unit(event.meet.unit)
    cut, order = state.cut_proposal, state.order_proposal
    called = order.order if order else ()
    return Decisions(
        event=event,
        version=state.version,
        trials=_trials(state),
        cut_after=cut.after_round if cut else None,
        how_many=cut.how_many if cut else 0,
        rows=cut_rows(cut, state, people, unit, called) if cut else (),
        order_round=order.round if order else None,
        order=tuple(people[key] for key in called),
        people=people,
        taken=tuple(
            Taken(
                stands.after_round,
                stands.by,
                stands.reason,
                tuple(people[key] for key in stands.going_on if key in people),
                tuple(people[key] for key in stands.under_protest if key in people),
                cut_rows(stands.proposal_now, state, people, unit, ()),
            )
            for stands in state.cuts
        ),
    )


def _trials(state: EventState) -> Trials | None:
    proposal = state.trials_proposal
    if proposal is None:
        return None
    sentence = explain_trials(proposal, cut_after=state.rules.cuts[0][0])
    return Trials(say(sentence), proposal.starters, proposal.rounds, proposal.with_cut)


def cut_rows(
    proposal: CutProposal, state: EventState, people: Mapping[str, Person], unit: Unit, order: tuple[str, ...]
) -> tuple[CutRow, ...]:
    """Everybody at a cut in order of ranking, with the reason."""
    position = {key: number for number, key in enumerate(order, 1)}
    rows = []
    for verdict in proposal.verdicts:
        marks = _marks_until(state, verdict.entry, proposal.after_round)
        sentence = explain_cut(verdict, proposal, marks, lambda key: people[key].bib, unit)
        rows.append(
            CutRow(
                person=people[verdict.entry],
                goes_on=verdict.goes_on,
                under_protest=verdict.entry in proposal.under_protest,
                says=say(sentence),
                marks=tuple(show_mark(mark, unit) for mark in marks),
                position=position.get(verdict.entry),
            )
        )
    return tuple(rows)


def _marks_until(state: EventState, entry: str, after_round: int) -> tuple[int, ...]:
    by_round = state.entry(entry).by_round
    marks = (trial.valid_mark for round, trial in by_round.items() if round <= after_round)
    return tuple(sorted((mark for mark in marks if mark is not None), reverse=True))
