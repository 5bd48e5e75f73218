"""Who is here: check-in, did not start, late, away, withdrawn, retired, disqualified."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from scoring.facts import (
    Added,
    Card,
    CheckedIn,
    Confirmed,
    DidNotStart,
    Disqualified,
    Joined,
    Left,
    Returned,
    Withdrew,
)
from scoring.log import Standing


@dataclass(slots=True)
class Presence:
    """How one athlete stands: the round they joined, where they are, whether they take more trials."""

    checked_in: bool = False
    did_not_start: bool = False
    joined_round: int = 1
    came_late: bool = False
    away: str | None = None
    excused: bool = False
    """Has been away with leave, now or before."""
    withdrawn_rev: int | None = None
    pending: bool = False
    cards: list[str] = field(default_factory=list)
    disqualified_rev: int | None = None
    disqualified_why: str = ""

    @property
    def withdrawn(self) -> bool:
        return self.withdrawn_rev is not None

    @property
    def disqualified(self) -> bool:
        return self.disqualified_rev is not None


def presences(log: Standing) -> dict[str, Presence]:
    """Each entry's presence; entries of which the log says nothing are simply here.

    A second yellow card is red, red is a disqualification (WA CR 6, from memory).

    >>> from scoring.log import Row, standing
    >>> presences(standing([Row("a", 1, Left("31", "pit 2"))]))["31"].away
    'pit 2'
    """
    found: dict[str, Presence] = defaultdict(Presence)
    for row in log.rows:
        if row.id in log.superseded:
            continue
        match row.fact:
            case CheckedIn(entry):
                found[entry].checked_in = True
                found[entry].did_not_start = False
            case DidNotStart(entry):
                found[entry].did_not_start = True
                found[entry].checked_in = False
            case Joined(entry, round):
                found[entry].joined_round = max(round, 1)
                found[entry].came_late = True
                found[entry].did_not_start = False
                found[entry].checked_in = True
            case Left(entry, where, back_at):
                found[entry].away = ", ".join(part for part in (where, back_at) if part)
                found[entry].excused = True
            case Returned(entry):
                found[entry].away = None
            case Withdrew(entry):
                found[entry].withdrawn_rev = _earlier(found[entry].withdrawn_rev, log.first_rev(row))
                found[entry].away = None
            case Added(entry):
                found[entry].pending = True
            case Confirmed(entry):
                found[entry].pending = False
            case Card(entry, colour):
                _card(found[entry], colour, log.first_rev(row), row.reason)
            case Disqualified(entry):
                _disqualify(found[entry], log.first_rev(row), row.reason)
            case _:
                pass
    return found


def _card(presence: Presence, colour: str, rev: int, reason: str) -> None:
    presence.cards.append(colour)
    if colour == "red" or presence.cards.count("yellow") > 1:
        _disqualify(presence, rev, reason)


def _disqualify(presence: Presence, rev: int, reason: str) -> None:
    """The first row decides whether it was before a cut; the last reason given is the one that is shown."""
    presence.disqualified_rev = _earlier(presence.disqualified_rev, rev)
    presence.disqualified_why = reason or presence.disqualified_why


def _earlier(known: int | None, rev: int) -> int:
    return rev if known is None else min(known, rev)
