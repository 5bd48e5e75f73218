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
from meets.models.publication import Publication
from meets.models.record_book import Record, RecordBook, RecordClaim
from meets.models.school_pack import Mailing, SchoolPack
from meets.models.server_epoch import ServerEpoch
from meets.models.standard import NextMeet, Standard
from meets.models.typed_sheet import TypedSheet

__all__ = [
    "Delivery",
    "Device",
    "Entry",
    "Event",
    "LogRow",
    "Mailing",
    "Meet",
    "NextMeet",
    "Penalty",
    "Pit",
    "PitClock",
    "PitKey",
    "PitSession",
    "Publication",
    "Record",
    "RecordBook",
    "RecordClaim",
    "Role",
    "SchoolPack",
    "ServerEpoch",
    "SessionPart",
    "SetAside",
    "Standard",
    "Stream",
    "TypedSheet",
]
