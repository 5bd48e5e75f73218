"""Whether an entry goes into the log at once, or is kept for somebody to look at first.

What is judged is the entry by itself: never what else has arrived so far, or the order of deliveries would matter.
The end of the event is the exception.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

from django.utils.translation import gettext as _

from meets.models import Role
from meets.pit.keys.roles import MAY_WRITE, recorder_name
from meets.pit.sync.ground import Ground
from meets.pit.sync.message import Sent, read_id, storable
from meets.pit.sync.tables import NewLogRow
from meets.running.refusals import Refusal, refuse_what_cannot_be
from scoring import facts
from scoring.errors import RuleError
from scoring.wind import gauge_to_tenths

# By the plain values of roles: an entry says them as text.
WRITES = {role.value: kinds for role, kinds in MAY_WRITE.items()}
RECORDERS = {role.value: recorder_name(role) for role in Role}
VERSIONS = (1,)
DAYS_AROUND = timedelta(days=2)
NAMED_AT_PIT = re.compile(r"new-[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
IN_A_ROUND = (facts.Jumped, facts.WindRead, facts.Replaced, facts.Joined)


@dataclass(frozen=True, slots=True)
class Source:
    """Whose entries these are, and what the key of that phone covers. `late`: the key's time is over."""

    meet_id: int
    roles: frozenset[str]
    session_id: int | None
    event_id: int | None
    late: bool = False
    revoked: bool = False


class Doubt(Exception):
    """Why somebody must look at an entry first; its text is a sentence."""


def not_added_yet() -> str:
    return _("It names an athlete who was added at the pit, and that has not come yet.")


def doubt_about(sent: Sent, source: Source, ground: Ground | None) -> None:
    """What speaks against an entry whatever it says. Raises Doubt; the desk may take such an entry in."""
    said = sent.said
    if said.get("v") not in VERSIONS:
        raise Doubt(_("Written by a newer version of the pit page than this server knows."))
    if said.get("meet") != source.meet_id or (ground is not None and ground.meet.pk != source.meet_id):
        raise Doubt(_("It belongs to another meet."))
    if ground is None:
        raise Doubt(_("Its event is not in this meet."))
    if source.late:
        raise Doubt(_("The key of this phone had ended when it came."))
    if source.revoked:
        raise Doubt(_("This phone was locked out."))
    if source.event_id not in (None, ground.event.pk) or source.session_id not in (None, *ground.sessions):
        raise Doubt(_("The key of this phone does not cover %(event)s.") % {"event": ground.event.name})
    role, kind = said.get("role"), said.get("kind")
    if role not in source.roles or kind not in WRITES.get(role, ()):
        raise Doubt(_("The key of this phone does not allow what it wrote."))
    if ground.closed:
        raise Doubt(_("%(event)s was closed when it came.") % {"event": ground.event.name})


def row_of(sent: Sent, ground: Ground, now: datetime, *, forced: bool = False) -> NewLogRow:
    """The row that an entry becomes. Raises Doubt.

    `forced`: the desk takes it in although its round is beyond those of the event, or a reason is missing.
    """
    said = sent.said
    kind, reason, official = said.get("kind"), said.get("reason", ""), said.get("official", "")
    values, supersedes = said.get("values"), said.get("supersedes", [])
    if not (isinstance(values, dict) and isinstance(reason, str) and isinstance(official, str)):
        raise Doubt(_("A part of it is missing or of the wrong kind."))
    if not isinstance(supersedes, list) or not all(map(read_id, supersedes)) or sent.id in supersedes:
        raise Doubt(_("The rows that it replaces are not named as rows are."))
    if not storable([values, reason, official]):
        raise Doubt(_("The text holds a character that cannot be stored."))
    if supersedes and not reason.strip() and not forced:
        raise Doubt(_("A correction needs its reason."))
    fact = _fact(kind, values, ground.names)
    _refuse(fact, ground)
    if not forced and isinstance(fact, IN_A_ROUND) and fact.round > ground.rounds:
        raise Doubt(_("The event has only %(rounds)s rounds.") % {"rounds": ground.rounds})
    return NewLogRow(
        sent.id, facts.kind_of(fact), facts.to_plain(fact), supersedes, RECORDERS.get(said.get("role"), ""), official,
        reason,
        written_at(said, ground, now),
    )  # fmt: skip


def _fact(kind: object, values: Mapping[str, object], names: Mapping[str, str]) -> facts.Fact:
    if not set(pit_names(values)) <= set(names):
        raise Doubt(not_added_yet())
    try:
        return facts.from_plain(str(kind), _renamed(_rounded(values), names))
    except RuleError as problem:
        raise Doubt(str(problem)[:200]) from problem


def _rounded(values: Mapping[str, object]) -> Mapping[str, object]:
    """A gauge that shows two decimals is sent as it reads, in hundredths: the rules round it."""
    hundredths = values.get("hundredths")
    if type(hundredths) is not int or "tenths" in values:
        return values
    return {name: value for name, value in values.items() if name != "hundredths"} | {
        "tenths": gauge_to_tenths(hundredths)
    }


def _refuse(fact: facts.Fact, ground: Ground) -> None:
    if isinstance(fact, facts.CutTaken | facts.OrderCalled | facts.FlightsMerged | facts.Drawn):
        ground.everybody()
    try:
        refuse_what_cannot_be(fact, ground.event, ground.bibs, ground.rules)
        moved_to = getattr(fact, "moved_to", "")
        if moved_to and moved_to not in ground.everybody():
            raise Refusal(_("This athlete is not entered in %(event)s.") % {"event": ground.event.name})
    except Refusal as refusal:
        raise Doubt(str(refusal)) from refusal


def pit_names(values: object) -> list[str]:
    """Names that athletes were given at the pit, wherever in the values they stand."""
    return [text for text in _texts(values) if NAMED_AT_PIT.fullmatch(text)]


def entry_keys(values: object) -> set[int]:
    """What in the values could be the key of an entry."""
    return {int(text) for text in _texts(values) if text.isascii() and text.isdecimal() and len(text) < 10}


def _texts(value: object) -> Iterable[str]:
    if isinstance(value, str):
        return [value]
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [text for one in inner for text in _texts(one)]


def _renamed(value: object, names: Mapping[str, str]) -> object:
    if isinstance(value, dict):
        return {name: _renamed(inner, names) for name, inner in value.items()}
    if isinstance(value, list):
        return [_renamed(inner, names) for inner in value]
    return names.get(value, value) if isinstance(value, str) else value


def written_at(said: Mapping[str, object], ground: Ground, now: datetime) -> datetime:
    """When it was written by the phone's clock put right; when it came, if that is not near the day of the meet."""
    wall, offset = said.get("wall"), said.get("offset", 0)
    if type(wall) is not int or type(offset) is not int:
        return now
    try:
        at = datetime.fromtimestamp((wall + offset) / 1000, UTC)
    except (OverflowError, ValueError, OSError):
        return now
    day = datetime.combine(ground.meet.date, time(12), UTC)
    return at if abs(at - day) <= DAYS_AROUND + timedelta(hours=12) else now
