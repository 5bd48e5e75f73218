"""The result sheet and the table for spreadsheets, both made from the document and from nothing else."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from athletes.reading.writing import csv_text
from meets.models import Publication
from meets.publishing.change_words import in_sentences
from meets.sheets.documents import About, Published, ResultLine, ResultSheet, TeamLine, TeamStandings
from meets.sheets.export import result_csv
from meets.sheets.results import WINDY_BEST
from meets.sheets.wording import full_date

Document = Mapping[str, object]
FRACTIONS = {"1/2": "½", "1/3": "⅓", "2/3": "⅔", "1/4": "¼", "3/4": "¾"}
SHORT_HASH = 12


def result_sheet_of(document: Document, sha256: str) -> ResultSheet:
    """What is printed of a published result."""
    return ResultSheet(
        about=_about(document, document["event"]["name"], sha256),
        status=status_word(document["status"]),
        lines=tuple(_line(document, line) for line in document["lines"]),
        rounds=document["rounds"],
        cuts=tuple((above, says) for above, says in document["notes"]["cuts"]),
        tie_notes=tuple(document["notes"]["ties"]),
        remarks=(*version_remarks(document), *document["notes"]["remarks"]),
        wind_note=document["notes"]["wind"],
        officials=tuple((role, name) for role, name in document["officials"]),
        key=tuple((sign, meaning) for sign, meaning in document["notes"]["key"]),
        published=published_words(document, sha256),
    )


def published_words(document: Document, sha256: str) -> Published:
    return Published(
        says=posting_words(document),
        version=version_words(document),
        hash=sha256[:SHORT_HASH],
        address=document["address"],
    )


def posting_words(document: Document) -> str:
    """When it was published and by whom; until when there is time for protests."""
    zone, day = document["meet"]["time_zone"], document["meet"]["date"]
    words = _("published %(when)s by %(who)s") % {
        "when": when(moment(document["published_at"]), zone, day),
        "who": document["published_by"],
    }
    if not document.get("protests_until"):
        return words
    until = when(moment(document["protests_until"]), zone, day)
    return _("%(words)s · protests to the referee before %(until)s") % {"words": words, "until": until}


def csv_of(document: Document, sha256: str) -> str:
    """The table for spreadsheets, of a result or of team standings."""
    if document["kind"] == "standings":
        return standings_csv(standings_sheet_of(document, sha256))
    return result_csv(result_sheet_of(document, sha256))


def standings_sheet_of(document: Document, sha256: str) -> TeamStandings:
    """What is printed of published team standings."""
    return TeamStandings(
        about=_about(document, _("All events"), sha256),
        status=status_word(document["status"]),
        events=tuple(event["name"] for event in document["events"]),
        lines=tuple(_team_line(document, school) for school in document["schools"]),
        notes=(*version_remarks(document), *penalties_in(document)),
        still_open=tuple(event["name"] for event in document["events"] if event["status"] in ("", "provisional")),
        published=published_words(document, sha256),
    )


def _about(document: Document, event: str, sha256: str) -> About:
    meet = document["meet"]
    return About(
        meet=meet["name"],
        event=event,
        date=full_date(date.fromisoformat(meet["date"])),
        pit=meet["venue"],
        version=version_words(document),
        printed=_("hash %(hash)s") % {"hash": sha256[:SHORT_HASH]},
        paper=meet["paper"],
    )


def _team_line(document: Document, school: Document) -> TeamLine:
    return TeamLine(
        place=shown_place(school),
        school=school["name"],
        points=tuple(shown_points(school["by_event"].get(str(event["number"]), "")) for event in document["events"]),
        total=shown_points(school["points"]),
        penalty=", ".join(shown_points(taken["points"]) for taken in school["penalties"]),
    )


def penalties_in(document: Document) -> Iterator[str]:
    for school in document["schools"]:
        for taken in school["penalties"]:
            yield _("%(school)s: %(points)s points, %(reason)s.") % {
                "school": school["name"],
                "points": shown_points(taken["points"]),
                "reason": taken["reason"],
            }


def standings_csv(sheet: TeamStandings) -> str:
    headings = [_("Place"), _("School"), *sheet.events, _("Penalty"), _("Total")]
    rows = [[line.place, line.school, *line.points, line.penalty, line.total] for line in sheet.lines]
    return csv_text(headings, rows)


def status_word(status: str) -> str:
    return {
        Publication.Status.PROVISIONAL: _("Provisional"),
        Publication.Status.OFFICIAL: _("Official"),
        Publication.Status.AMENDED: _("Amended"),
    }[Publication.Status(status)]


def version_words(document: Document) -> str:
    return _("version %(version)d") % {"version": document["version"]}


def version_remarks(document: Document) -> tuple[str, ...]:
    """Why there is this version, what it changes, and who declared it official before its time."""
    found = []
    if document["supersedes"]:
        words = _("Takes the place of version %(version)d.") % {"version": document["supersedes"]["version"]}
        found.append(f"{words} {_('Reason')}: {document['reason']}" if document["reason"] else words)
    found += in_sentences(document["changes"])
    if document.get("declared_by"):
        found.append(_("Declared official by the referee, %(name)s.") % {"name": document["declared_by"]})
    return tuple(found)


def moment(text: str) -> datetime:
    return datetime.fromisoformat(text)


def when(at: datetime, zone: str, meet_day: str) -> str:
    """The time of day at the meet; with its date if that is another day."""
    local = localtime(at, ZoneInfo(zone))
    return date_format(local, "H:i" if local.date().isoformat() == meet_day else "j F Y, H:i")


def shown_points(points: str) -> str:
    """Points as people write them: 7½."""
    whole, _space, part = points.rpartition(" ")
    return f"{whole}{FRACTIONS[part]}" if part in FRACTIONS else points.replace("-", "−")


def _line(document: Document, line: Document) -> ResultLine:
    best, legal = line["best"], line["best_legal"]
    windy = bool(best and _is_windy(best))
    return ResultLine(
        place=shown_place(line),
        bib=line["bib"],
        name=line["name"],
        school=line["school"]["name"],
        string=_("guest") if line["guest"] else line["string"],
        year_group=line["year"],
        best=_with_w(best) if best else line["status"],
        best_wind=wind_words(best),
        legal=legal["shown"] if legal else _("none") if windy else "",
        legal_wind=wind_words(legal),
        series=_series(line),
        points=shown_points(line["points"]),
        marks=tuple(line_signs(line)),
        klass=line["klass"],
    )


def shown_place(line: Document) -> str:
    if line.get("guest") and line["best"]:
        return "G"
    if line["place"] is None:
        return ""
    return f"{line['place']}=" if line["shared"] else str(line["place"])


def line_signs(line: Document) -> list[str]:
    """Best of all or of the season, with its mark where that is not the best itself; Q, standard, records."""
    mark = line["sign_mark"]
    signs = [f"{sign} {mark}" if mark and sign != WINDY_BEST else sign for sign in line["signs"]]
    return [sign for sign in (*signs, line["qualified"], line["standard"], *line["records"]) if sign]


def _is_windy(mark: Document) -> bool:
    return bool(mark["wind"]) and mark["wind"].get("legal") is False


def _with_w(mark: Document) -> str:
    windy = mark["mark"] is not None and _is_windy(mark)
    return f"{mark['shown']}w" if windy else mark["shown"]


def class_words(line: Document) -> str:
    """`class T20`, said wherever a place could be taken for that of another class; empty without classes."""
    return _("class %(klass)s") % {"klass": line["klass"]} if line["klass"] else ""


def wind_words(mark: Document | None) -> str:
    return mark["wind"]["shown"] if mark and mark["wind"] else ""


def trial_words(trial: Document) -> str:
    """A trial as it stands in a table: in brackets if it does not count."""
    words = _with_w(trial)
    return words if trial["counts"] else f"({words})"


def _series(line: Document) -> tuple[tuple[str, str], ...]:
    """One trial for each round: the one that counts, if any does."""
    found: dict[int, tuple[str, str]] = {}
    for trial in sorted(line["series"], key=lambda trial: trial["counts"]):
        found[trial["round"]] = (trial_words(trial), wind_words(trial))
    return tuple(found.get(round, ("", "")) for round in range(1, max(found, default=0) + 1))
