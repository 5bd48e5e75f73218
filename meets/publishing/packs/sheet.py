"""A pack from its JSON and the published documents it names: as it is printed, and its own athletes as a table."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from athletes.reading.writing import csv_text
from meets.entries.values import with_minus
from meets.models import Publication
from meets.publishing.packs.content import OF_THE_VERSION
from meets.publishing.packs.differences import sentences, team_words
from meets.publishing.sheet import (
    class_words,
    line_signs,
    moment,
    result_sheet_of,
    shown_points,
    status_word,
    when,
)
from meets.sheets.documents import About, ResultLine, ResultSheet, TeamStandings
from meets.sheets.for_schools import NextMeetLines, OwnEvent, OwnLine, PackSheet
from meets.sheets.wording import full_date

Document = Mapping[str, object]
MOST_CHANGES = 12
"""So many sentences of what changed stand in a letter; all of them in the pack."""


def pack_sheet(
    pack: Document, *, results: Sequence[ResultSheet] = (), standings: TeamStandings | None = None, address: str = ""
) -> PackSheet:
    """`results`: the full results as the public has them, of the events in the pack."""
    meet = pack["meet"]
    changed = {(change["event"], change["entry"]) for change in pack["changes"]}
    team = pack["team"]
    return PackSheet(
        about=About(
            meet=meet["name"],
            event=pack["school"]["name"],
            date=full_date(date.fromisoformat(meet["date"])),
            pit=meet["venue"],
            version=_("pack version %(version)d") % {"version": pack["version"]},
            printed=_("made %(when)s") % {"when": when(moment(pack["made_at"]), meet["time_zone"], "")},
            paper=meet["paper"],
        ),
        team=_capital(team_words(team)) if team else "",
        team_status=_team_status(pack),
        events=tuple(_event(pack, event, changed) for event in pack["events"]),
        next_meet=_next_meet(pack["next_meet"]),
        still_open=tuple(_open(pack)),
        since=_since(pack),
        changes=tuple(sentences(pack["changes"])),
        results=tuple(results),
        standings=standings,
        address=address,
    )


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _since(pack: Document) -> str:
    return _("Changed since pack version %(version)d") % {"version": pack["since"]} if pack["since"] else ""


def _team_status(pack: Document) -> str:
    team = pack["team"]
    return _("standings: %(status)s") % {"status": status_word(team["status"]).lower()} if team else ""


def _event(pack: Document, event: Document, changed: set[tuple[object, object]]) -> OwnEvent:
    series = own_result(pack, event)
    going = {(one["entry"], one["event"]): one["provisional"] for one in (pack["next_meet"] or {"going": ()})["going"]}
    return OwnEvent(
        name=event["name"],
        status=status_word(event["status"]).lower(),
        lines=tuple(
            _line(event, line, shown, changed, going) for line, shown in zip(event["lines"], series.lines, strict=True)
        ),
        series=series,
    )


def own_result(pack: Document, event: Document) -> ResultSheet:
    """The result of an event cut down to the school's own athletes, with their full names."""
    meet, number = pack["meet"], event["number"]
    return result_sheet_of(
        {
            "meet": meet,
            "event": {"number": number, "name": event["name"]},
            **{key: event[key] for key in (*OF_THE_VERSION, "lines")},
            "notes": {"ties": (), "remarks": (), "cuts": (), "wind": "", "key": ()},
            "officials": (),
            "supersedes": None,
            "changes": (),
        },
        event["sha256"],
    )  # fmt: skip


def _line(
    event: Document,
    line: Document,
    shown: ResultLine,
    changed: set[tuple[object, object]],
    going: Mapping[tuple[object, object], object],
) -> OwnLine:
    key = (line["entry"], event["name"])
    held = [trial for trial in line["series"] if trial["held"]]
    through = _("goes through if the result stands") if going.get(key) else _("goes through")
    marks = {"mark": shown.legal, "wind": with_minus(shown.legal_wind)}
    legal = _("best legal %(mark)s %(wind)s") % marks if shown.legal else ""
    notes = (
        shown.string,
        class_words(line),
        line["status_reason"],
        legal.strip(),
        line["standard"],
        *line["records"],
        through if key in going else "",
        *(_("round %(round)d %(shown)s") % trial for trial in held),
    )
    points = _("1 pt") if shown.points == "1" else shown.points and _("%(points)s pts") % {"points": shown.points}
    return OwnLine(
        place=shown.place or "–",
        bib=line["bib"],
        name=line["name"],
        mark=shown.best,
        wind=shown.best_wind,
        signs=_signs(line),
        points=points,
        notes=tuple(note for note in notes if note),
        changed=(event["number"], line["entry"]) in changed,
    )


def _signs(line: Document) -> str:
    """PB or SB, with its mark where that is another one, and Q."""
    return " ".join(line_signs({**line, "standard": "", "records": ()}))


def _next_meet(following: Document | None) -> NextMeetLines | None:
    if following is None:
        return None
    day = full_date(date.fromisoformat(following["date"]))
    about = " · ".join(part for part in (following["name"], day, following["venue"]) if part)
    if not following["going"]:
        return NextMeetLines(about, following["how"], (_("None of your athletes goes through."),))
    return NextMeetLines(
        about,
        reply_words(following),
        tuple(_("%(name)s: %(event)s, %(why)s") % one for one in following["going"]),
    )


def reply_words(following: Document) -> str:
    """By when, and where to, a school answers; empty if nobody asks for it."""
    day = date_format(date.fromisoformat(following["reply_by"]), "l j F") if following["reply_by"] else ""
    if day and following["reply_to"]:
        return _("Reply by %(day)s to %(address)s.") % {"day": day, "address": following["reply_to"]}
    return _("Reply by %(day)s.") % {"day": day} if day else ""


def _open(pack: Document) -> Iterable[str]:
    """What is not final: provisional results by the end of their time for protests, then what waits."""
    meet = pack["meet"]
    provisional: dict[str, list[str]] = {}
    for event in pack["events"]:
        if is_provisional(event):
            until = event["protests_until"]
            words = when(moment(until), meet["time_zone"], meet["date"]) if until else ""
            provisional.setdefault(words, []).append(event["name"])
    for until, names in provisional.items():
        whole = len(names) == len(pack["events"]) > 1
        yield _provisional(_("all these results") if whole else ", ".join(names), until)
    yield from pack["open"]
    if pack["not_published"]:
        yield _("Not published yet: %(events)s.") % {"events": ", ".join(pack["not_published"])}


def _provisional(events: str, until: str) -> str:
    if not until:
        return _("Provisional: %(events)s.") % {"events": events}
    return _("Provisional: %(events)s. Protests to the referee before %(time)s.") % {"events": events, "time": until}


def pack_csv(pack: Document) -> str:
    """The school's own athletes, one line for each event of each; no cell is ever run as a formula."""
    rounds = range(1, max((event["rounds"] for event in pack["events"]), default=0) + 1)
    # A column that is there only where it says something.
    classes = any(line["klass"] for event in pack["events"] for line in event["lines"])
    headings = [
        _("Event"), *([_("Class")] if classes else []), _("Status"), _("Version"), _("Place"),
        _("Bib"), _("Name"), _("String"), _("Year"),
        _("Best"), _("Wind"), _("Best legal"), _("Wind of best legal"),
        *(heading for number in rounds for heading in (f"T{number}", f"W{number}")),
        _("Points"), _("Signs"), _("Standard"), _("Records"), _("Next meet"),
    ]  # fmt: skip
    going = {(one["entry"], one["event"]): one["why"] for one in (pack["next_meet"] or {"going": ()})["going"]}
    rows = []
    for event in pack["events"]:
        for line, shown in zip(event["lines"], own_result(pack, event).lines, strict=True):
            series = (*shown.series, *((("", ""),) * len(rounds)))[: len(rounds)]
            rows.append(
                [
                    event["name"], *([line["klass"]] if classes else []), status_word(event["status"]),
                    event["version"],
                    shown.place, line["bib"], line["name"], shown.string, line["year"],
                    shown.best, shown.best_wind, shown.legal, shown.legal_wind,
                    *(cell for trial in series for cell in trial),
                    shown_points(line["points"]), _signs(line),
                    line["standard"], ", ".join(line["records"]), going.get((line["entry"], event["name"]), ""),
                ]
            )  # fmt: skip
    return csv_text(headings, rows)


def is_provisional(event: Document) -> bool:
    return event["status"] == Publication.Status.PROVISIONAL


def pack_words(pack: Document) -> dict[str, object]:
    """What a letter says of a pack, without anybody's name."""
    sheet = pack_sheet(pack)
    return {
        "day": sheet.about.date,
        "team": team_words(pack["team"]) if pack["team"] else "",
        "since": sheet.since,
        "changes": sheet.changes[:MOST_CHANGES],
        "more_changes": max(len(sheet.changes) - MOST_CHANGES, 0),
        "next_meet": _next_meet_words(pack["next_meet"]),
        "still_open": sheet.still_open,
    }


def _next_meet_words(following: Document | None) -> str:
    """How many go on, and by when the school answers; empty if nobody does."""
    if following is None or not following["going"]:
        return ""
    many = len({one["entry"] for one in following["going"]})
    says = ngettext(
        "%(many)d of your athletes goes through to %(name)s.", "%(many)d of your athletes go through to %(name)s.", many
    ) % {"many": many, "name": following["name"]}
    return " ".join(part for part in (says, reply_words(following)) if part)
