"""What pages, sheets and publications read of records, standards and bests."""

from meets.records.books import RecordLine, records_of
from meets.records.honours import Honours, RecordHit, honours_of
from meets.records.standards import StandardLine, standards_of

__all__ = [
    "Honours",
    "RecordHit",
    "RecordLine",
    "StandardLine",
    "honours_of",
    "records_of",
    "standards_of",
]
