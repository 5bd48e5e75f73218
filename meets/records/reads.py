"""What pages, sheets and publications read of records, standards and bests."""

from meets.records.books import RecordLine, records_of
from meets.records.honours import Honours, RecordHit, honours_of
from meets.records.qualifying import GoingOn, Qualifier, qualifiers
from meets.records.standards import StandardLine, standards_of

__all__ = [
    "GoingOn",
    "Honours",
    "Qualifier",
    "RecordHit",
    "RecordLine",
    "StandardLine",
    "honours_of",
    "qualifiers",
    "records_of",
    "standards_of",
]
