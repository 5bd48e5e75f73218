"""Times on the day of a meet."""

from datetime import datetime, time
from zoneinfo import ZoneInfo

from meets.models import Meet


def on_the_day(meet: Meet, clock: time | None) -> datetime | None:
    """A time on the day of the meet, on the clock of its zone; None stays None."""
    return None if clock is None else datetime.combine(meet.date, clock, tzinfo=ZoneInfo(meet.time_zone))
