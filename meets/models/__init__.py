"""The nouns of a meet, one file each."""

from meets.models.delivery import Delivery, SetAside
from meets.models.device import Device, Stream
from meets.models.entry import Entry
from meets.models.event import Event
from meets.models.log_row import LogRow
from meets.models.meet import Meet
from meets.models.penalty import Penalty
from meets.models.pit import Pit
from meets.models.pit_clock import PitClock
from meets.models.pit_key import PitKey, Role
from meets.models.pit_session import PitSession, SessionPart
from meets.models.server_epoch import ServerEpoch
from meets.models.typed_sheet import TypedSheet

__all__ = [
    "Delivery",
    "Device",
    "Entry",
    "Event",
    "LogRow",
    "Meet",
    "Penalty",
    "Pit",
    "PitClock",
    "PitKey",
    "PitSession",
    "Role",
    "ServerEpoch",
    "SessionPart",
    "SetAside",
    "Stream",
    "TypedSheet",
]
