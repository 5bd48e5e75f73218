"""Who goes on to the next meet, from the published results."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.models import Event, Meet, NextMeet
from meets.records.books import marked
from meets.records.results import Document, best_that_counts, rules_in, wind_in
from meets.records.standards import standards_by_event


@dataclass(frozen=True, slots=True)
class Qualifier:
    """Somebody who goes on. `name` as the result shows it, perhaps empty; `mark` with `wind` as they are written."""

    entry: str
    bib: str
    name: str
    school_code: str
    school: str
    event_id: int
    event: str
    place: int | None
    mark: str
    wind: str
    by_place: bool
    by_standard: bool
    says: str


@dataclass(frozen=True, slots=True)
class GoingOn:
    """The next meet, how one qualifies for it in a sentence, and who has, by the code of the school.

    `provisional`: names of events whose result is not official yet; `waiting` of those without any.
    """

    name: str
    date: date
    venue: str
    reply_by: date | None
    reply_to: str
    how: str
    schools: dict[str, tuple[Qualifier, ...]]
    provisional: tuple[str, ...] = ()
    waiting: tuple[str, ...] = ()


def qualifiers(meet: Meet, results: Iterable[Document]) -> GoingOn | None:
    """Who goes on to the next meet by these published results, or None where no next meet is set.

    Guests do not go on. Whoever shares the last place that qualifies does.
    """
    following = NextMeet.objects.filter(meet=meet).first()
    if following is None:
        return None
    events = list(meet.events.all())
    thresholds = _thresholds(meet, events, following.standard)
    latest = {doc["event"]["number"]: doc for doc in results if doc["kind"] == "result"}
    schools: dict[str, list[Qualifier]] = defaultdict(list)
    for event in events:
        for line in latest[event.pk]["lines"] if event.pk in latest else ():
            found = _qualifier(line, latest[event.pk], following, thresholds.get(event.pk))
            if found:
                schools[found.school_code].append(found)
    return GoingOn(
        name=following.name,
        date=following.date,
        venue=following.venue,
        reply_by=following.reply_by,
        reply_to=following.reply_to,
        how=how_to_qualify(following.places, following.standard),
        schools={code: tuple(found) for code, found in sorted(schools.items())},
        provisional=tuple(e.name for e in events if e.pk in latest and latest[e.pk]["status"] == "provisional"),
        waiting=tuple(event.name for event in events if event.pk not in latest),
    )


def how_to_qualify(places: int, standard: str) -> str:
    """`The first 2 of each event qualify, and whoever has reached the standard Gold.`"""
    by_place = ngettext("The first of each event qualifies", "The first %(count)d of each event qualify", places) % {
        "count": places
    }
    if not standard:
        return f"{by_place}." if places else _("Nobody qualifies yet: neither places nor a standard are set.")
    if not places:
        return _("Whoever has reached the standard %(name)s qualifies.") % {"name": standard}
    return _("%(places)s, and whoever has reached the standard %(name)s.") % {"places": by_place, "name": standard}


def _thresholds(meet: Meet, events: Iterable[Event], standard: str) -> dict[int, int]:
    """The mark that qualifies by the standard, by event; events without that standard are left out."""
    if not standard:
        return {}
    return {
        pk: line.mark
        for pk, lines in standards_by_event(meet, events).items()
        for line in lines
        if line.name == standard
    }


def _qualifier(line: Document, document: Document, following: NextMeet, threshold: int | None) -> Qualifier | None:
    rules = rules_in(document)
    best = best_that_counts(line, rules) if threshold is not None else None
    by_standard = best is not None and threshold is not None and best.mark >= threshold
    by_place = line["place"] is not None and line["place"] <= following.places
    if line["guest"] or line["status"] or not (by_place or by_standard):
        return None
    wind = wind_in(line["best"]["wind"])
    return Qualifier(
        entry=line["entry"],
        bib=line["bib"],
        name=line["name"],
        school_code=line["school"]["code"],
        school=line["school"]["name"],
        event_id=document["event"]["number"],
        event=document["event"]["name"],
        place=line["place"],
        mark=marked(line["best"]["shown"], wind, rules.wind_limit_tenths),
        wind=line["best"]["wind"]["shown"] if line["best"]["wind"] else "",
        by_place=by_place,
        by_standard=by_standard,
        says=_reason(line, following.standard, by_place, by_standard),
    )


def _reason(line: Document, standard: str, by_place: bool, by_standard: bool) -> str:
    words = []
    if by_place and line["klass"]:
        words.append(_("place %(place)s of class %(name)s") % {"place": line["place"], "name": line["klass"]})
    elif by_place:
        words.append(_("place %(place)s") % {"place": line["place"]})
    words += [_("standard %(name)s") % {"name": standard}] if by_standard else []
    return _(" and ").join(words)
