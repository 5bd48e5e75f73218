"""A moment in words: the hour at the meet, with its day where that is another one."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from django.utils.timezone import localtime


def moment_said(at: datetime, now: datetime, zone: str | None = None, *, seconds: bool = False) -> str:
    """Like "14:52"; "12 June, 14:52" where `now` is another day, "12 June 2027, 14:52" where it is another year.

    `zone`: that of the page, if none is named.
    """
    there = ZoneInfo(zone) if zone else None
    local, today = localtime(at, there), localtime(now, there)
    day = "" if local.date() == today.date() else "j F, " if local.year == today.year else "j F Y, "
    return date_format(local, day + ("H:i:s" if seconds else "H:i"))
