"""Why somebody with a place scores no team points."""

from __future__ import annotations

from collections import Counter

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.running.team_points import points_in
from scoring.state import EventState
from scoring.teams import NoPoints


def unscored(state: EventState, schools_in_match: int) -> dict[str, str]:
    """A sentence for every entry that its school's limit, or its string, keeps from points; by entry."""
    rules = state.rules
    if not (rules.points or rules.points_by_schools):
        return {}
    why = {scored.entry: scored.no_points for scored in points_in(state, schools_in_match)}
    placed: Counter[tuple[str, str]] = Counter()
    found = {}
    for place in state.places:
        line = state.entry(place.entry).line
        if why[place.entry] in (None, NoPoints.OVER_THE_LIMIT):
            placed[line.school, line.klass] += 1
        if why[place.entry] is NoPoints.NO_STRING:
            found[place.entry] = _("no points: in neither the A nor the B string.")
        elif why[place.entry] is NoPoints.OVER_THE_LIMIT and rules.b_table:
            found[place.entry] = _("no points: the A and the B of the school have scored.")
        elif why[place.entry] is NoPoints.OVER_THE_LIMIT:
            limit = rules.scorers_per_school
            words = ngettext(
                "no points: number %(number)d of the school, of which %(limit)d scores.",
                "no points: number %(number)d of the school, of which %(limit)d score.",
                limit,
            )
            found[place.entry] = words % {"number": placed[line.school, line.klass], "limit": limit}
    return found
