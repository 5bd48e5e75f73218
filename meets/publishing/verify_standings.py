"""Published team standings added up again from their lines."""

from collections import defaultdict
from collections.abc import Mapping
from fractions import Fraction

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.publishing.rederive import fraction_of, plain_points
from meets.publishing.verdict import Checked, in_one
from scoring.standings import Penalty, SchoolTotal, Ties, team_totals
from scoring.teams import EntryPoints

Document = Mapping[str, object]


def check_standings(document: Document) -> list[Checked]:
    codes = [school["code"] for school in document["schools"]]
    penalties = [
        Penalty(school["code"], -fraction_of(taken["points"]), taken["reason"])
        for school in document["schools"]
        for taken in school["penalties"]
    ]
    if any(penalty.points < 0 for penalty in penalties):
        return [Checked(False, _("A penalty gives points instead of taking them."))]
    found = team_totals(_scored(document), schools=codes, penalties=penalties, ties=Ties(document["equal_totals"]))
    totals = {total.school: total for total in found}
    if sorted(totals) != sorted(codes):
        return [Checked(False, _("Schools with points and schools in the table are not the same."))]
    places = [total.place for total in found]
    wrong = [
        says
        for school in document["schools"]
        if (says := _wrong(school, totals[school["code"]], places.count(totals[school["code"]].place) > 1))
    ]
    if [school["place"] for school in document["schools"]] != sorted(school["place"] for school in document["schools"]):
        wrong.append(_("The schools do not stand in the order of their places."))
    holds = ngettext(
        "The place and points of %(n)d school hold.", "Places and points of %(n)d schools hold.", len(codes)
    )
    return [in_one(wrong, holds % {"n": len(codes)})]


def _scored(document: Document) -> dict[str, list[EntryPoints]]:
    scored: dict[str, list[EntryPoints]] = defaultdict(list)
    for line in document["lines"]:
        points = fraction_of(line["points"])
        scored[str(line["event"])].append(
            EntryPoints(line["entry"], line["school"], line["table"], line["position"], points)
        )
    return scored


def _wrong(school: Document, own: SchoolTotal, shared: bool) -> str:
    by_event: dict[str, Fraction] = defaultdict(Fraction)
    for part in own.lines:
        if part.event:
            by_event[part.event] += part.points
    if (school["place"], school["shared"], school["points"]) != (own.place, shared, plain_points(own.points)):
        says = _(
            "%(school)s: place %(written)d with %(points)s points is written; the lines give %(own)d with %(sum)s."
        )
        return says % {
            "school": school["name"],
            "written": school["place"],
            "points": school["points"],
            "own": own.place,
            "sum": plain_points(own.points),
        }
    if school["by_event"] != {event: plain_points(points) for event, points in by_event.items()}:
        return _("%(school)s: the points of the events do not add up.") % {"school": school["name"]}
    return ""
