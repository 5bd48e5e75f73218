"""How phones, codes and times are said at the desk."""

from collections.abc import Iterable
from datetime import datetime

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.models import PitKey, PitSession, Role
from meets.running.times import moment_said

CLOCK_OFF_S = 120


def roles_said(roles: Iterable[str]) -> str:
    """`recorder and wind gauge operator`; in the order of the roles."""
    labels = [str(role.label) for role in Role if role in set(roles)]
    if len(labels) < 2:
        return labels[0] if labels else _("nothing")
    return _("%(first)s and %(last)s") % {"first": ", ".join(labels[:-1]), "last": labels[-1]}


def pit_said(session: PitSession) -> str:
    """The pit with the time at which the session begins."""
    if session.starts_at is None:
        return session.pit.name
    return f"{session.pit.name}, {timezone.localtime(session.starts_at):%H:%M}"


def place_said(key: PitKey) -> str:
    """What a key is for; wants session with pit, or event."""
    return f"{pit_said(key.session)}: {key.session.name}" if key.session else key.event.name


def ago(at: datetime | None, now: datetime) -> str:
    """How long something is past, as one would say it."""
    if at is None:
        return _("never")
    seconds = max(int((now - at).total_seconds()), 0)
    if seconds < 10:
        return _("just now")
    if seconds < 90:
        return _("%(seconds)d s ago") % {"seconds": seconds}
    minutes = seconds // 60
    if minutes < 60:
        return _("%(minutes)d min ago") % {"minutes": minutes}
    if minutes < 24 * 60:
        return _("%(hours)d h %(minutes)d min ago") % {"hours": minutes // 60, "minutes": minutes % 60}
    return moment_said(at, now)


def clock_said(seconds_behind: int) -> str:
    """'' while a clock is as good as right."""
    if abs(seconds_behind) < CLOCK_OFF_S:
        return ""
    minutes = abs(seconds_behind) // 60
    how = _("%(hours)d h %(minutes)d min") if minutes >= 60 else _("%(minutes)d min")
    off = how % {"hours": minutes // 60, "minutes": minutes % 60 if minutes >= 60 else minutes}
    return (_("clock %(off)s slow") if seconds_behind > 0 else _("clock %(off)s fast")) % {"off": off}


def numbers_said(holes: Iterable[tuple[int, int]]) -> str:
    """Numbers of entries: `4`, `4–6, 9`."""
    return ", ".join(str(first) if first == last else f"{first}–{last}" for first, last in holes)


def entries_said(holes: Iterable[tuple[int, int]]) -> str:
    holes = tuple(holes)
    many = sum(last - first + 1 for first, last in holes)
    return ngettext("entry %(numbers)s", "entries %(numbers)s", many) % {"numbers": numbers_said(holes)}
