"""The heading and the footer that all sheets of a meet share."""

from __future__ import annotations

from django.utils.translation import gettext as _

from athletes.paper.page import Foot, Head, Page
from meets.sheets.documents import About


def page_for(about: About, kind: str, *, landscape: bool = False, number: str = "", more: tuple[str, ...] = ()) -> Page:
    """The page of a sheet: meet, event, date, pit and times on top; version and time of printing below."""
    times = [
        about.date,
        about.pit,
        _("report %(time)s") % {"time": about.report_at} if about.report_at else "",
        _("start %(time)s") % {"time": about.starts_at} if about.starts_at else "",
    ]
    facts = (" · ".join(fact for fact in (*times, about.together_with) if fact), about.format, *more)
    return Page(
        Head(
            meet=about.meet,
            title=about.event,
            kind=kind,
            facts=tuple(fact for fact in facts if fact),
            number=number,
            version=about.version,
        ),
        Foot(version=about.version, printed=about.printed),
        paper=about.paper,
        landscape=landscape,
    )
