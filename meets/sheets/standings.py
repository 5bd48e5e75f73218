"""Team standings of a meet as they are printed."""

from __future__ import annotations

from collections import Counter

from django.utils.translation import gettext as _

from meets.entries.values import with_minus
from meets.running.team_points import SchoolStanding
from meets.sheets.documents import TeamLine, TeamStandings
from meets.sheets.reads import TeamsKnown


def team_standings(known: TeamsKnown) -> TeamStandings:
    """Every school with its points in each event, penalties as a column with their reasons below."""
    found = known.standings
    sharing = Counter(school.place for school in found.schools)
    return TeamStandings(
        about=known.about,
        status=_("Provisional") if not known.still_open else _("In progress"),
        events=tuple(name for _pk, name in found.events),
        lines=tuple(
            TeamLine(
                place=f"{school.place}=" if sharing[school.place] > 1 else str(school.place),
                school=school.name,
                points=tuple(school.by_event.get(pk, "") for pk, _name in found.events),
                total=with_minus(school.points),
                penalty=", ".join(with_minus(line.points) for line in _penalties(school)),
            )
            for school in found.schools
        ),
        notes=tuple(
            _("%(school)s: %(points)s points, %(reason)s.")
            % {"school": school.name, "points": with_minus(line.points), "reason": line.reason}
            for school in found.schools
            for line in _penalties(school)
        ),
        still_open=known.still_open,
    )


def _penalties(school: SchoolStanding) -> list:
    return [line for line in school.lines if line.event_id is None]
