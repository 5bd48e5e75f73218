"""What the public pages of results show: plain values from published documents, for the server and for files."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from django.urls import reverse
from django.utils.translation import gettext as _

from meets.board.drawing import NARROW, WIDE, Drawing, Landed, pit_drawing
from meets.models import Event, Meet, Publication
from meets.publishing.change_words import in_sentences
from meets.publishing.reads import latest, versions_of
from meets.publishing.sheet import (
    SHORT_HASH,
    line_signs,
    penalties_in,
    posting_words,
    result_sheet_of,
    shown_place,
    shown_points,
    standings_sheet_of,
    status_word,
    trial_words,
    wind_words,
)
from meets.publishing.shown_now import Athletes, as_shown_now, athletes_in
from meets.publishing.standings import behind_of
from scoring.marks import Unit

Document = Mapping[str, object]
ENDINGS = {"pdf": "application/pdf", "csv": "text/csv; charset=utf-8", "json": "application/json"}


@dataclass(frozen=True)
class Cell:
    """One trial as it stands in the table."""

    text: str
    wind: str = ""
    counts: bool = True
    best: bool = False
    held: bool = False


@dataclass(frozen=True)
class Line:
    """One athlete of a result."""

    entry: str
    place: str
    bib: str
    name: str
    school: str
    string: str
    year: str
    guest: bool
    klass: str
    best: str
    best_wind: str
    legal: str
    cells: tuple[Cell, ...]
    points: str
    signs: tuple[str, ...]
    reason: str = ""
    cut_above: tuple[str, ...] = ()


@dataclass(frozen=True)
class Version:
    """A published version and where it is found. `now`: nothing newer takes its place.

    `names_less`: it named somebody more fully than is shown today, so the public has its page without, and no files.
    """

    number: int
    status: str
    word: str
    posted: str
    reason: str
    hash: str
    sha256: str
    changes: tuple[str, ...]
    now: bool
    address: str
    files: tuple[tuple[str, str], ...]
    names_less: bool = False


@dataclass(frozen=True)
class ResultPage:
    """A version of a result, with its table and what stands below it."""

    event: Event
    version: Version
    newest: Version
    others: int
    lines: tuple[Line, ...]
    rounds: range
    notes: tuple[tuple[str, tuple[str, ...]], ...]
    key: tuple[tuple[str, str], ...]
    has_points: bool
    drawings: tuple[tuple[str, Drawing], ...] = ()
    last_cut: tuple[str, ...] = ()


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
                tuple(_line(document, x) for x in firsts),
            )
        )
    if teams is None:
        return MeetPage(tuple(cards))
    standings = json.loads(teams.document)
    sheet = standings_sheet_of(standings, teams.sha256)
    version = version_shown(meet, teams, standings, now=True)
    return MeetPage(tuple(cards), version, sheet.lines, behind_of(standings, found))


def result_page(meet: Meet, event: Event, number: int | None) -> ResultPage | None:
    """A version, or without a number the newest; None if there is none."""
    found, shown, document = _chosen(meet, event, number)
    if shown is None:
        return None
    sheet = result_sheet_of(document, shown.sha256)
    lines = _with_cuts(document, [_line(document, line) for line in document["lines"]])
    notes = (
        (_("Ties"), sheet.tie_notes),
        (_("Remarks"), tuple(document["notes"]["remarks"])),
        (_("Wind"), (sheet.wind_note,) if sheet.wind_note else ()),
    )
    declared = document["declared_by"]
    if declared:
        notes += ((_("Official"), (_("Declared by the referee, %(name)s.") % {"name": declared},)),)
    return ResultPage(
        event=event,
        version=shown,
        newest=found[-1],
        others=len(found) - 1,
        lines=lines,
        rounds=range(1, document["rounds"] + 1),
        notes=tuple((title, says) for title, says in notes if says),
        key=sheet.key,
        has_points=any(line.points for line in lines),
        drawings=tuple(_drawings(document)),
        last_cut=tuple(says for above, says in document["notes"]["cuts"] if above == len(lines)),
    )


def teams_page(meet: Meet, number: int | None) -> TeamsPage | None:
    found, shown, document = _chosen(meet, None, number)
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


def versions_page(meet: Meet, event: Event | None) -> list[Version]:
    """Every version, the newest first."""
    return _shown(meet, versions_of(meet, event), _athletes(meet, event))[::-1]


def _athletes(meet: Meet, event: Event | None) -> Athletes:
    return athletes_in(meet, event) if event else {}


def _chosen(meet: Meet, event: Event | None, number: int | None) -> tuple[list[Version], Version | None, Document]:
    stored = versions_of(meet, event)
    athletes = _athletes(meet, event)
    found = _shown(meet, stored, athletes)
    wanted = [at for at, one in enumerate(found) if number is None or one.number == number][-1:]
    if not wanted:
        return found, None, {}
    return found, found[wanted[0]], as_shown_now(json.loads(stored[wanted[0]].document), meet, athletes)


def _shown(meet: Meet, stored: Sequence[Publication], athletes: Athletes) -> list[Version]:
    found = []
    for publication in stored:
        document = json.loads(publication.document)
        less = as_shown_now(document, meet, athletes) is not document
        found.append(version_shown(meet, publication, document, now=publication is stored[-1], names_less=less))
    return found


def version_shown(
    meet: Meet, publication: Publication, document: Document, *, now: bool, names_less: bool = False
) -> Version:
    where = [meet.slug, *([publication.event_id] if publication.event_id else []), publication.version]
    page, file = ("version", "version_file") if publication.event_id else ("teams_version", "teams_version_file")
    return Version(
        number=publication.version,
        status=publication.status,
        word=status_word(publication.status),
        posted=posting_words(document),
        reason=publication.reason,
        hash=publication.sha256[:SHORT_HASH],
        sha256=publication.sha256,
        changes=tuple(in_sentences(document["changes"])),
        now=now,
        address=reverse(f"results:{page}", args=where),
        files=tuple((ending.upper(), reverse(f"results:{file}", args=[*where, ending])) for ending in ENDINGS),
        names_less=names_less,
    )


def _line(document: Document, line: Document) -> Line:
    best, legal = line["best"], line["best_legal"]
    return Line(
        entry=line["entry"],
        place=shown_place(line),
        bib=line["bib"],
        name=line["name"],
        school=line["school"]["name"],
        string=line["string"],
        year=line["year"],
        guest=line["guest"],
        klass=line["klass"],
        best=trial_words({**best, "counts": True}) if best else line["status"],
        best_wind=wind_words(best),
        legal=legal["shown"] if legal else "",
        cells=_cells(document, line),
        points=shown_points(line["points"]),
        signs=tuple(line_signs(line)),
        reason=line["status_reason"],
    )


def _cells(document: Document, line: Document) -> tuple[Cell, ...]:
    found = {}
    for trial in sorted(line["series"], key=lambda trial: trial["counts"]):
        best = bool(line["best"]) and trial["counts"] and trial["mark"] == line["best"]["mark"]
        best = best and trial["wind"] == line["best"]["wind"]
        found[trial["round"]] = Cell(
            trial_words({**trial, "counts": True}), wind_words(trial), trial["counts"], best, trial["held"]
        )
    return tuple(found.get(round, Cell("")) for round in range(1, document["rounds"] + 1)) if found else ()


def _with_cuts(document: Document, lines: list[Line]) -> tuple[Line, ...]:
    for above, says in document["notes"]["cuts"]:
        if above < len(lines):
            lines[above] = replace(lines[above], cut_above=(*lines[above].cut_above, says))
    return tuple(lines)


def _drawings(document: Document) -> list[tuple[str, Drawing]]:
    """The best of each in the sand, wide and for a phone; none while nobody has a mark."""
    landed, boards = [], set()
    for line in document["lines"]:
        boards |= {trial["board_cm"] for trial in line["series"] if trial["board_cm"]}
        best = line["best"]
        if best:
            own = next(trial for trial in line["series"] if trial["counts"] and trial["mark"] == best["mark"])
            landed.append(Landed(line["bib"], best["mark"], best["shown"], own["board_cm"], line["place"] == 1))
    unit = Unit(document["meet"]["unit"])
    drawn = ((name, pit_drawing(landed, unit=unit, boards_cm=sorted(boards), size=size)) for name, size in SIZES)
    return [(name, drawing) for name, drawing in drawn if drawing]


SIZES = (("wide", WIDE), ("narrow", NARROW))
