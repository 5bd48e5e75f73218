"""The nouns of a meet, one file each."""

from meets.models.entry import Entry
from meets.models.event import Event
from meets.models.log_row import LogRow
from meets.models.meet import Meet
from meets.models.penalty import Penalty
from meets.models.pit import Pit
from meets.models.pit_session import PitSession, SessionPart
from meets.models.typed_sheet import TypedSheet

__all__ = ["Entry", "Event", "LogRow", "Meet", "Penalty", "Pit", "PitSession", "SessionPart", "TypedSheet"]
