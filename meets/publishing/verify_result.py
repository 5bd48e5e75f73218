"""A published result worked out again: marks as shown, bests, places, points, and what can be said of the cuts."""

from collections import Counter
from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.publishing.cut_again import cuts_again
from meets.publishing.rederive import marks_of, places_in, points_in, rules_in, shown_wind, wind_is_legal
from meets.publishing.verdict import MOST_SAID, Checked, in_one
from scoring.marks import Unit, show_mark
from scoring.rulesets import RuleSet

Document = Mapping[str, object]


def check_result(document: Document) -> list[Checked]:
    rules, lines = rules_in(document), document["lines"]
    if len({line["entry"] for line in lines}) != len(lines):
        return [Checked(False, _("An athlete stands in the result twice."))]
    return [
        in_one(
            [*_series_wrong(document, rules), *_turns_wrong(document)],
            _("Marks and winds of the series are as they are shown."),
        ),
        in_one(
            list(_bests_wrong(document)),
            ngettext("The best of %(n)d line holds.", "The bests of %(n)d lines hold.", len(lines)) % {"n": len(lines)},
        ),
        in_one(
            list(_places_wrong(document)),
            ngettext("The place of %(n)d line holds.", "The places of %(n)d lines hold.", len(lines))
            % {"n": len(lines)},
        ),
        in_one(list(_points_wrong(document)), _("The points hold.")),
        *(Checked(None, says) for says in cuts_again(document, rules)),
    ]


def _series_wrong(document: Document, rules: RuleSet) -> Iterator[str]:
    unit = Unit(document["meet"]["unit"])
    for line in document["lines"]:
        for trial in line["series"]:
            about = {"bib": line["bib"], "round": trial["round"], "shown": trial["shown"]}
            has_mark = trial["mark"] is not None
            if has_mark is (trial["held"] or trial["result"] != "mark"):
                yield _("Bib %(bib)s, round %(round)d: %(shown)s and its mark contradict each other.") % about
            elif has_mark and trial["shown"] != show_mark(trial["mark"], unit):
                yield _("Bib %(bib)s, round %(round)d: %(shown)s is shown, %(mark)s is the mark.") % {
                    **about,
                    "mark": show_mark(trial["mark"], unit),
                }
        marks = [mark for mark in (*line["series"], line["best"], line["best_legal"]) if mark]
        if any(not _wind_holds(mark["wind"], rules) for mark in marks):
            yield _("Bib %(bib)s: a wind is shown otherwise than it was read.") % {"bib": line["bib"]}


def _turns_wrong(document: Document) -> Iterator[str]:
    """Trials that cannot be beside one another, or not in this event, and cuts with somebody who is not in it."""
    last = document["rounds"] if document["counted_rounds"] is None else document["counted_rounds"]
    for line in document["lines"]:
        counting = Counter(trial["round"] for trial in line["series"] if trial["counts"])
        twice = {*counting} - {round for round, many in counting.items() if many == 1}
        late = {
            trial["round"] for trial in line["series"] if trial["counts"] and trial["mark"] and trial["round"] > last
        }
        for rounds, says in (
            (twice, _("Bib %(bib)s: two trials of round %(round)d count.")),
            (late, _("Bib %(bib)s: a trial of round %(round)d counts, and the result is that of %(last)d rounds.")),
        ):
            for round in sorted(rounds):
                yield says % {"bib": line["bib"], "round": round, "last": last}
    known = {line["entry"] for line in document["lines"]}
    for cut in document["cuts"]:
        if not known >= {*cut["going_on"], *cut["under_protest"]}:
            yield _("In the cut after round %(round)d is somebody who is not in the result.") % {
                "round": cut["after_round"]
            }


def _wind_holds(wind: Document | None, rules: RuleSet) -> bool:
    if wind is None or "owed" in wind:
        return True
    return wind["shown"] == shown_wind(wind) and wind.get("legal", True) is wind_is_legal(wind, rules)


def _bests_wrong(document: Document) -> Iterator[str]:
    unit = Unit(document["meet"]["unit"])
    for line in document["lines"]:
        marks, best, legal = marks_of(line), line["best"], line["best_legal"]
        top = show_mark(marks[0], unit) if marks else _("none")
        written = best["shown"] if best else _("none")
        counting = [trial for trial in line["series"] if trial["counts"] and trial["mark"]]
        best_of_legal = max((trial["mark"] for trial in counting if _is_legal(trial)), default=0)
        if top != written or (best and best["mark"] != marks[0]):
            yield _("Bib %(bib)s: %(written)s is written as best, the series give %(best)s.") % {
                "bib": line["bib"],
                "written": written,
                "best": top,
            }
        elif best and not any(_is(trial, best) for trial in counting):
            yield _("Bib %(bib)s: the wind of the best is not that of its trial.") % {"bib": line["bib"]}
        elif legal and not _is_legal(legal):
            yield _("Bib %(bib)s: the best legal mark has no legal wind.") % {"bib": line["bib"]}
        elif legal and legal["mark"] != best_of_legal:
            yield _("Bib %(bib)s: %(written)s is not the best legal mark of the series.") % {
                "bib": line["bib"],
                "written": legal["shown"],
            }
        elif best and not legal and best_of_legal and best["wind"] and best["wind"].get("legal") is False:
            yield _("Bib %(bib)s: the best legal mark of the series is not written.") % {"bib": line["bib"]}


def _is_legal(mark: Document) -> bool:
    return bool(mark["wind"]) and bool(mark["wind"].get("legal"))


def _is(trial: Document, best: Document) -> bool:
    return trial["mark"] == best["mark"] and trial["shown"] == best["shown"] and trial["wind"] == best["wind"]


def _places_wrong(document: Document) -> Iterator[str]:
    placed, lines = places_in(document), document["lines"]
    if [one.entry for one in placed] != [line["entry"] for line in lines]:
        bibs = {line["entry"]: line["bib"] for line in lines}
        yield _("The lines do not stand in the order of their marks: it is bibs %(bibs)s.") % {
            "bibs": ", ".join(bibs[one.entry] for one in placed[:MOST_SAID])
        }
    by_entry = {one.entry: one for one in placed}
    for line in lines:
        own = by_entry[line["entry"]]
        if (line["place"], line["shared"]) != (own.place, bool(own.shared_with)):
            yield _("Bib %(bib)s: %(written)s is written as place, the series give %(place)s.") % {
                "bib": line["bib"],
                "written": _place(line["place"], line["shared"]),
                "place": _place(own.place, bool(own.shared_with)),
            }
        elif (line["status"] in ("NM", "DNS")) and (marks_of(line) or line["place"]):
            yield _("Bib %(bib)s: has a mark and is written as %(status)s.") % {
                "bib": line["bib"],
                "status": line["status"],
            }
        elif line["status"] == "DQ" and line["series"]:
            yield _("Bib %(bib)s: no mark of somebody disqualified stands.") % {"bib": line["bib"]}


def _place(place: int | None, shared: bool) -> str:
    return _("none") if place is None else f"{place}=" if shared else str(place)


def _points_wrong(document: Document) -> Iterator[str]:
    points = points_in(document)
    for line in document["lines"]:
        own = points.get(line["entry"], "")
        if line["points"] != own:
            yield _("Bib %(bib)s: %(written)s points are written, the places give %(points)s.") % {
                "bib": line["bib"],
                "written": line["points"] or "0",
                "points": own or "0",
            }
