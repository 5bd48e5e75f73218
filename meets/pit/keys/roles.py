"""What each role at a pit may write, and whose record its trials belong to."""

from collections.abc import Collection

from meets.models import Role
from meets.running.actions import DESK, PIT, SECOND
from scoring import facts

WINDS = (facts.WindRead, facts.NoGauge)
RECORDS = (
    facts.Jumped, *WINDS, facts.BoardSet, facts.BoardChecked, facts.Left, facts.Returned, facts.CheckedIn,
    facts.DidNotStart, facts.Joined, facts.Withdrew, facts.Added, facts.Voided, facts.Suspended, facts.Replaced,
    facts.ProtestLodged, facts.HandedOver,
)  # fmt: skip
DECIDES = (
    facts.Resumed, facts.ReadinessSigned, facts.Disregarded, facts.CalledIn, facts.AlarmSettled, facts.ProtestDecided,
    facts.Card, facts.Disqualified, facts.Shortened, facts.TrialsConfirmed, facts.CutTaken, facts.OrderCalled,
    facts.FlightsMerged, facts.FlightMoved,
)  # fmt: skip


def _kinds(*types: type) -> frozenset[str]:
    return frozenset(kind for kind, type_ in facts.KINDS.items() if type_ in types)


MAY_WRITE: dict[Role, frozenset[str]] = {
    Role.RECORDER: _kinds(*RECORDS),
    Role.SECOND: _kinds(*RECORDS),
    # A gauge operator takes back readings only; that is looked at where the row is made.
    Role.GAUGE: _kinds(*WINDS, facts.Voided, facts.Suspended, facts.HandedOver),
    Role.REFEREE: _kinds(*RECORDS, *DECIDES),
    Role.DISPLAY: frozenset(),
}
"""Kinds of rows of the log by role."""

RECORDERS = {Role.RECORDER: PIT, Role.SECOND: SECOND, Role.GAUGE: "gauge", Role.REFEREE: "referee"}
DECIDING = frozenset({DESK, RECORDERS[Role.REFEREE]})
"""Whose rows settle what recorders wrote."""
APART = ((Role.RECORDER, Role.SECOND), (Role.SECOND, Role.GAUGE), (Role.REFEREE, Role.SECOND))
"""Roles that one phone cannot have together: a second record is worth something only if it is taken blind.

A gauge operator is shown the marks whose wind is owed.
"""


def kept_apart(roles: Collection[str]) -> tuple[Role, Role] | None:
    """The first two of these roles that one phone cannot have together."""
    return next((pair for pair in APART if {*pair} <= {*roles}), None)


def recorder_name(role: Role) -> str:
    """The record that rows of this role belong to; '' for a role that writes nothing."""
    return RECORDERS.get(role, "")
