"""The public pages of a whole meet: its results with their winners, and the team standings."""

import json
from dataclasses import dataclass

from meets.models import Event, Meet
from meets.publishing.reads import latest
from meets.publishing.result_pages import Line, line_shown
from meets.publishing.sheet import penalties_in, standings_sheet_of
from meets.publishing.shown_now import as_shown_now, athletes_in
from meets.publishing.standings import behind_of
from meets.publishing.version_pages import Version, chosen, version_shown


@dataclass(frozen=True)
class Card:
    """An event on the page of the meet; without a version its result is not published yet."""

    event: Event
    version: Version | None = None
    winners: tuple[Line, ...] = ()


@dataclass(frozen=True)
class MeetPage:
    """All of a meet that is published."""

    cards: tuple[Card, ...]
    teams: Version | None = None
    schools: tuple[object, ...] = ()
    behind: tuple[str, ...] = ()


def meet_page(meet: Meet) -> MeetPage:
    found = latest(meet)
    teams = found.get(None)
    athletes = athletes_in(meet)
    cards = []
    for event in meet.events.all():
        publication = found.get(event.pk)
        if publication is None:
            cards.append(Card(event))
            continue
        whole = json.loads(publication.document)
        document = as_shown_now(whole, meet, athletes)
        firsts = [line for line in document["lines"] if line["place"] == 1]
        cards.append(
            Card(
                event,
                version_shown(meet, publication, document, now=True, names_less=document is not whole),
                tuple(line_shown(document, x) for x in firsts),
            )
        )
    if teams is None:
        return MeetPage(tuple(cards))
    standings = json.loads(teams.document)
    sheet = standings_sheet_of(standings, teams.sha256)
    version = version_shown(meet, teams, standings, now=True)
    return MeetPage(tuple(cards), version, sheet.lines, behind_of(standings, found))


@dataclass(frozen=True)
class TeamsPage:
    """A version of the team standings."""

    version: Version
    newest: Version
    others: int
    events: tuple[str, ...]
    lines: tuple[object, ...]
    notes: tuple[str, ...]
    still_open: tuple[str, ...]
    behind: tuple[str, ...] = ()


def teams_page(meet: Meet, number: int | None) -> TeamsPage | None:
    found, shown, document = chosen(meet, None, number)
    if shown is None:
        return None
    sheet = standings_sheet_of(document, shown.sha256)
    return TeamsPage(
        version=shown,
        newest=found[-1],
        others=len(found) - 1,
        events=sheet.events,
        lines=sheet.lines,
        notes=tuple(penalties_in(document)),
        still_open=sheet.still_open,
        behind=behind_of(document, latest(meet)) if shown.now else (),
    )
