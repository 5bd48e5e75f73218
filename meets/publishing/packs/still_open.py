"""What of a school's results waits for a decision or a wind, in sentences for its pack."""

from collections.abc import Iterable, Mapping

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

Document = Mapping[str, object]


def still_open(events: Iterable[Document]) -> list[str]:
    """A sentence for each matter."""
    return [sentence for event in events for sentence in _of_event(event)]


def _of_event(event: Document) -> Iterable[str]:
    def matter(says: str, **values: object) -> str:
        return says % {"event": event["name"], **values}

    for line in event["lines"]:
        held = [trial for trial in line["series"] if trial["held"]]
        for trial in held:
            yield matter(
                _("%(event)s, bib %(bib)s: round %(round)d is %(shown)s."),
                bib=line["bib"], round=trial["round"], shown=trial["shown"],
            )  # fmt: skip
        owed = [str(trial["round"]) for trial in line["series"] if trial["wind"] and trial["wind"].get("owed")]
        if owed:
            says = ngettext(
                "%(event)s, bib %(bib)s: the wind of round %(rounds)s is still to come.",
                "%(event)s, bib %(bib)s: the winds of rounds %(rounds)s are still to come.",
                len(owed),
            )
            yield matter(says, bib=line["bib"], rounds=", ".join(owed))
    if event["protest"] and not any(trial["held"] for line in event["lines"] for trial in line["series"]):
        yield matter(_("%(event)s: a trial of another school is under protest, so places may change."))
