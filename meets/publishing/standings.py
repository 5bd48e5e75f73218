"""The team standings of a meet as a document, added up from the published results and from nothing else."""

import json
from collections import Counter, defaultdict
from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction

from athletes.models import School
from meets.entries.rules import meet_rules
from meets.models import Meet, Publication
from meets.publishing.document import FORMAT, about_meet, about_version
from meets.publishing.rederive import plain_points, team_points_in
from meets.running.team_points import schools_in_match
from scoring.standings import Penalty, SchoolTotal, Ties, team_totals

Document = Mapping[str, object]


def standings_document(
    meet: Meet,
    results: Mapping[int, Publication],
    *,
    now: datetime,
    status: str,
    version: int,
    by: str,
    reason: str,
    before: Publication | None,
    address: str = "",
) -> dict[str, object]:
    """`results`: the newest version of every event that has one, by event. Without the list of changes."""
    documents = {number: json.loads(publication.document) for number, publication in results.items()}
    scored = {str(number): team_points_in(document) for number, document in documents.items()}
    penalties = list(meet.penalties.select_related("school"))
    entered = School.objects.filter(athletes__entries__event__meet=meet).distinct().values_list("code", "name")
    names = {penalty.school.code: penalty.school.name for penalty in penalties} | dict(entered)
    ties = meet_rules(meet).equal_totals
    totals = team_totals(
        scored,
        schools=names,
        penalties=[Penalty(penalty.school.code, penalty.points, penalty.reason) for penalty in penalties],
        ties=Ties(ties),
    )
    sharing = Counter(total.place for total in totals)
    return {
        "kind": "standings",
        "format": FORMAT,
        "address": address,
        "meet": {**about_meet(meet), "schools_in_match": schools_in_match(meet)},
        **about_version(status, version, now, by, reason, before),
        "changes": [],
        "equal_totals": ties,
        "events": [
            {
                "number": event.pk,
                "name": event.name,
                "version": results[event.pk].version if event.pk in results else 0,
                "sha256": results[event.pk].sha256 if event.pk in results else None,
                "status": results[event.pk].status if event.pk in results else "",
            }
            for event in meet.events.all()
        ],
        "schools": [_school(total, names, sharing[total.place] > 1) for total in totals],
        "lines": _lines(totals, documents),
    }


def _school(total: SchoolTotal, names: Mapping[str, str], shared: bool) -> dict[str, object]:
    by_event: dict[str, Fraction] = defaultdict(Fraction)
    for line in total.lines:
        if line.event:
            by_event[line.event] += line.points
    return {
        "code": total.school,
        "name": names.get(total.school, total.school),
        "place": total.place,
        "shared": shared,
        "points": plain_points(total.points),
        "by_event": {event: plain_points(points) for event, points in by_event.items()},
        "penalties": [
            {"points": plain_points(line.points), "reason": line.reason} for line in total.lines if not line.event
        ],
    }


def _lines(totals: tuple[SchoolTotal, ...], documents: Mapping[int, Document]) -> list[dict[str, object]]:
    """What the totals are made of, school by school."""
    bibs = {
        (str(number), line["entry"]): line["bib"]
        for number, document in documents.items()
        for line in document["lines"]
    }
    return [
        {
            "event": int(line.event),
            "entry": line.entry,
            "bib": bibs[line.event, line.entry],
            "school": total.school,
            "table": line.table,
            "position": line.position,
            "points": plain_points(line.points),
        }
        for total in totals
        for line in total.lines
        if line.event
    ]


def behind_of(standings: Document, newest: Mapping[int | None, Publication]) -> tuple[str, ...]:
    """Events whose newest results give other points by now than these standings were added up from, by name."""
    added = {(line["event"], line["entry"], line["points"]) for line in standings["lines"]}
    results = (json.loads(publication.document) for event, publication in newest.items() if event is not None)
    found = []
    for result in results:
        number = result["event"]["number"]
        now = {(number, one.entry, plain_points(one.points)) for one in team_points_in(result) if one.points}
        if now != {line for line in added if line[0] == number and line[2] != "0"}:
            found.append(result["event"]["name"])
    return tuple(found)
