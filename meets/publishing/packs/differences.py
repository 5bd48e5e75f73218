"""What is new in a pack since the one that a school was given before, in sentences, and which lines they are about."""

from collections.abc import Iterator, Mapping, Sequence

from django.utils.translation import gettext as _

from meets.models import Publication
from meets.publishing.differences import changes_between
from meets.publishing.packs.content import compared
from meets.publishing.sheet import shown_points

Document = Mapping[str, object]
Change = dict[str, object]


def changes_in_pack(before: Document | None, now: Document) -> list[Change]:
    """`entry` and `event` name the line that a change is about, so that it can be marked; both are empty for a change
    of the whole. Lines of a result that is new are marked without a sentence for each.
    """
    if before is None or compared(before) == compared(now):
        return []
    pairs = list(_events(before, now))
    found = list(_by_status(pairs))
    found += [change for pair in pairs for change in _in_event(*pair)]
    found += _in_team(before["team"], now["team"])
    found += _in_next_meet(before, now)
    found += _in_open(before, now)
    return found or [_change(_("Something that is no result has changed, as the day or a name."))]


def sentences(changes: Sequence[Change]) -> list[str]:
    """What changed, each sentence once."""
    return list(dict.fromkeys(str(change["says"]) for change in changes if change["says"]))


def _events(before: Document, now: Document) -> Iterator[tuple[Document | None, Document | None]]:
    old = {event["number"]: event for event in before["events"]}
    new = {event["number"]: event for event in now["events"]}
    for number, event in new.items():
        yield old.get(number), event
    for number, event in old.items():
        if number not in new:
            yield event, None


def _by_status(pairs: Sequence[tuple[Document | None, Document | None]]) -> Iterator[Change]:
    """Results that are out, official, or open to protests again: one sentence for all of each kind."""
    both = [(old, new) for old, new in pairs if old is not None and new is not None]
    for words, events in (
        (_("Results are out: %(events)s."), [new for old, new in pairs if old is None and new is not None]),
        (_("Official now: %(events)s."), [n for o, n in both if _is_provisional(o) and not _is_provisional(n)]),
        (
            _("A new time for protests: %(events)s."),
            [n for o, n in both if n["protests_until"] and o["protests_until"] != n["protests_until"]],
        ),
    ):
        if events:
            yield _change(words % {"events": ", ".join(event["name"] for event in events)})


def _in_event(before: Document | None, now: Document | None) -> Iterator[Change]:
    if now is None:
        yield _change(_("%(event)s: no result of yours any more.") % {"event": before["name"]})
        return
    if before is None:
        yield from (_change("", now, line) for line in now["lines"])
        return
    lines = {line["entry"]: line for line in (*before["lines"], *now["lines"])}
    for change in changes_between(before, now):
        says = _("%(event)s: %(says)s") % {"event": now["name"], "says": change["says"]}
        yield _change(says, now, lines[change["entry"]])


def _is_provisional(event: Document) -> bool:
    return event["status"] == Publication.Status.PROVISIONAL


def _in_team(before: Document | None, now: Document | None) -> Iterator[Change]:
    if now is None:
        return
    if before is None:
        yield _change(_("The team standings are out."))
        return
    was, is_now = (team_words(team) for team in (before, now))
    if was != is_now:
        yield _change(_("Team: was %(was)s, is now %(now)s.") % {"was": was, "now": is_now})


def team_words(team: Document) -> str:
    """A school's place among the schools: `place 2= of 9, 31½ points`."""
    words = _("place %(place)s of %(schools)d, %(points)s points")
    place = f"{team['place']}{'=' if team['shared'] else ''}"
    return words % {"place": place, "schools": team["schools"], "points": shown_points(team["points"])}


def _in_next_meet(before: Document, now: Document) -> Iterator[Change]:
    old, new = before["next_meet"], now["next_meet"]
    if old == new:
        return
    was = {(one["entry"], one["event"]): one for one in (old or {"going": ()})["going"]}
    going = {(one["entry"], one["event"]): one for one in (new or {"going": ()})["going"]}
    for key, one in going.items():
        if key not in was:
            yield _change(_("%(event)s: bib %(bib)s goes through to the next meet.") % one)
    for key, one in was.items():
        if key not in going:
            yield _change(_("%(event)s: bib %(bib)s no longer goes through to the next meet.") % one)
    about = [{key: value for key, value in (meet or {}).items() if key != "going"} for meet in (old, new)]
    if about[0] != about[1]:
        yield _change(_("The next meet, its day or the day to reply by is new."))


def _in_open(before: Document, now: Document) -> Iterator[Change]:
    for sentence in now["open"]:
        if sentence not in before["open"]:
            yield _change(_("Open: %(says)s") % {"says": sentence})
    for sentence in before["open"]:
        if sentence not in now["open"]:
            yield _change(_("No longer open: %(says)s") % {"says": sentence})


def _change(says: str, event: Document | None = None, line: Document | None = None) -> Change:
    return {
        "event": event["number"] if event else None,
        "entry": line["entry"] if line else "",
        "says": says,
    }
