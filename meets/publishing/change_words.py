"""The differences between two versions as sentences, so few that they fit below a result of twenty athletes."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy
from django.utils.translation import ngettext

from meets.publishing.differences import Change

SEVERAL = 3
"""For so many athletes a change of one kind becomes a sentence of its own."""


def in_sentences(changes: Sequence[Change]) -> list[str]:
    """All changes to read: what changed in one line of a result stands in one sentence.

    Where the same changed for several athletes, as places after a disqualification, it is one sentence for all of them.
    """
    with_status = {change["entry"] for change in changes if change["what"] == "status"}
    alike: dict[tuple[str, int], list[Change]] = {}
    for change in changes:
        if change["what"] in _GATHERED and change["bib"] and change["entry"] not in with_status:
            alike.setdefault((change["what"], _places_up(change)), []).append(change)
    several = {kind: own for kind, own in alike.items() if len({one["entry"] for one in own}) >= SEVERAL}
    apart = [change for change in changes if not any(change in own for own in several.values())]
    return [*_by_athlete(apart), *(_together(what, up, own) for (what, up), own in several.items())]


def _places_up(change: Change) -> int:
    """By how many places somebody moved up, below 0 for down; 0 where a place is shared, new or gone."""
    plain = change["what"] == "place" and change["was"].isdecimal() and change["now"].isdecimal()
    return int(change["was"]) - int(change["now"]) if plain else 0


def _together(what: str, up: int, changes: Sequence[Change]) -> str:
    words = {
        "n": abs(up),
        "bibs": ", ".join(dict.fromkeys(change["bib"] for change in changes)),
        "moves": ", ".join(_move(change) for change in changes),
    }
    if up > 0:
        return ngettext("One place up: bibs %(bibs)s.", "%(n)d places up: bibs %(bibs)s.", up) % words
    if up < 0:
        return ngettext("One place down: bibs %(bibs)s.", "%(n)d places down: bibs %(bibs)s.", -up) % words
    return str(_GATHERED[what]) % words


def _move(change: Change) -> str:
    words = {"bib": change["bib"], "was": change["was"] or _("none"), "now": change["now"] or _("none")}
    return _("%(bib)s from %(was)s to %(now)s") % words


def _by_athlete(changes: Sequence[Change]) -> Iterator[str]:
    for _entry, group in groupby(changes, key=lambda change: change["entry"]):
        own = list(group)
        short = [change for change in own if change["what"] in _SHORT and change["bib"]]
        if len(short) > 1:
            parts = (f"{_SHORT[one['what']]} {_now(one)}" for one in short)
            yield _("Bib %(bib)s: %(changes)s.") % {"bib": short[0]["bib"], "changes": "; ".join(parts)}
            own = [change for change in own if change not in short]
        yield from (change["says"] for change in own)


def _now(change: Change) -> str:
    words = {"was": change["was"] or _("none"), "now": change["now"] or _("none")}
    return _("%(was)s, now %(now)s") % words


_SHORT = {
    "place": lazy("place"),
    "status": lazy("status"),
    "mark": lazy("best"),
    "points": lazy("points"),
    "best legal": lazy("best legal"),
    "signs": lazy("signs"),
    "standard": lazy("standard"),
    "records": lazy("records"),
    "qualified": lazy("qualified"),
}
# Values in them hold no comma.
_GATHERED = {
    "place": lazy("Places, by bib: %(moves)s."),
    "mark": lazy("Bests, by bib: %(moves)s."),
    "points": lazy("Points, by bib: %(moves)s."),
    "best legal": lazy("Best legal marks, by bib: %(moves)s."),
    "signs": lazy("Signs, by bib: %(moves)s."),
    "standard": lazy("Standards, by bib: %(moves)s."),
    "qualified": lazy("Qualified, by bib: %(moves)s."),
    "class": lazy("Classes, by bib: %(moves)s."),
    "string": lazy("Strings, by bib: %(moves)s."),
    "name": lazy("The names are written otherwise of bibs %(bibs)s."),
    "wind": lazy("Winds have come in or have been put right for bibs %(bibs)s: they stand in the series."),
}
