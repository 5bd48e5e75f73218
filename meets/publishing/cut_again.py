"""The cuts of a published result beside what the series give. The referee takes a cut: a difference is no mistake."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from django.utils.translation import gettext as _

from scoring.cut import CutLine, propose_cut
from scoring.rulesets import RuleSet

Document = Mapping[str, object]


def cuts_again(document: Document, rules: RuleSet) -> Iterator[str]:
    """A sentence for each cut: whether the marks before it give the same athletes, as far as that can be known."""
    for cut in document["cuts"]:
        after = cut["after_round"]
        about = {"round": after}
        if any(
            line["status"] in ("DNS", "DQ") and not line["series"] and line["entry"] in _going(cut)
            for line in document["lines"]
        ):
            yield _("The cut after round %(round)d cannot be worked out again: marks of somebody do not stand.") % about
        elif any(trial["held"] for line in document["lines"] for trial in line["series"] if trial["round"] <= after):
            yield _("The cut after round %(round)d cannot be worked out again: marks are held back.") % about
        elif not rules.ties_go_on or cut["under_protest"]:
            yield (
                _("The cut after round %(round)d cannot be worked out again: it hangs on the draw or a protest.")
                % about
            )
        elif _proposed(document, after, rules) == set(cut["going_on"]):
            yield _("The cut after round %(round)d is the one that the series give.") % about
        else:
            yield (
                _("The cut after round %(round)d is not the one that the series give: the referee took it so.") % about
            )


def _going(cut: Document) -> set[str]:
    return {*cut["going_on"], *cut["under_protest"]}


def _proposed(document: Document, after: int, rules: RuleSet) -> set[str]:
    lines = [
        CutLine(
            line["entry"],
            tuple(
                sorted(
                    (t["mark"] for t in line["series"] if t["round"] <= after and t["counts"] and t["mark"]),
                    reverse=True,
                )
            ),
            number,
            line["status"] if line["status"] in ("DNS", "DQ") else "",
            line["guest"],
            any(t["result"] == "retired" and t["round"] <= after for t in line["series"]),
        )
        for number, line in enumerate(document["lines"])
    ]
    many = dict(rules.cuts).get(after, len(lines))
    return set(propose_cut(lines, after, replace(rules, cuts=((after, many),))).going_on)
