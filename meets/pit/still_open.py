"""What of an event is still open when its sheet is to be signed: named, so that nobody signs it away unseen."""

from collections.abc import Iterable, Iterator, Mapping

from django.utils.translation import ngettext

from meets.models import Event
from meets.running.actions import SECOND
from meets.running.reads import Person, rows_of
from scoring.log import Standing, standing
from scoring.records import compare
from scoring.state import EventState


def still_open(event: Event, state: EventState, people: Mapping[str, Person]) -> tuple[str, ...]:
    """A sentence each for winds that are owed, athletes to be confirmed by the desk, protests without a decision.

    And for rounds that two recorders wrote, of which one has not everything.
    """
    bibs = _bibs((turn.entry for turn in state.owed_winds), people)
    winds = ngettext(
        "%(n)d wind is owed, of bib %(bibs)s: fill it in, or that mark has none.",
        "%(n)d winds are owed, of bibs %(bibs)s: fill them in, or those marks have none.",
        len(state.owed_winds),
    )
    pending = [entry.line.entry for entry in state.entries if entry.pending]
    added = ngettext(
        "Bib %(bibs)s was added at the pit and waits for the desk to confirm.",
        "Bibs %(bibs)s were added at the pit and wait for the desk to confirm.",
        len(pending),
    )
    protests = sum(protest.upheld is None for protest in state.protests)
    undecided = ngettext("%(n)d protest is not decided.", "%(n)d protests are not decided.", protests)
    found = [
        (len(state.owed_winds), winds % {"n": len(state.owed_winds), "bibs": bibs}),
        (len(pending), added % {"bibs": _bibs(pending, people)}),
        (protests, undecided % {"n": protests}),
    ]
    return (*(says for many, says in found if many), *_in_one_record(state, standing(rows_of(event)), people))


def _in_one_record(state: EventState, log: Standing, people: Mapping[str, Person]) -> Iterator[str]:
    """The other phone may be out of battery, or still hold what it wrote."""
    for round in range(1, state.rounds + 1):
        compared = compare(log, SECOND, round)
        blanks = [one.turn.entry for one in compared.blanks]
        if blanks and len(blanks) < len(compared.turns):
            says = ngettext(
                "Round %(round)d was written by two recorders, but of bib %(bibs)s there is one record only.",
                "Round %(round)d was written by two recorders, but of bibs %(bibs)s there is one record only.",
                len(blanks),
            )
            yield says % {"round": round, "bibs": _bibs(blanks, people)}


def _bibs(entries: Iterable[str], people: Mapping[str, Person]) -> str:
    return ", ".join(dict.fromkeys(people[entry].bib or people[entry].name for entry in entries if entry in people))
