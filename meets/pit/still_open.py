"""What of an event is still open when its sheet is to be signed: named, so that nobody signs it away unseen."""

from collections.abc import Iterable, Mapping

from django.utils.translation import ngettext

from meets.running.reads import Person
from scoring.state import EventState


def still_open(state: EventState, people: Mapping[str, Person]) -> tuple[str, ...]:
    """A sentence each for winds that are owed, athletes to be confirmed by the desk, protests without a decision."""
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
    return tuple(says for many, says in found if many)


def _bibs(entries: Iterable[str], people: Mapping[str, Person]) -> str:
    return ", ".join(dict.fromkeys(people[entry].bib or people[entry].name for entry in entries if entry in people))
