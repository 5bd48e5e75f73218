"""Firsts, seconds and thirds of every school, counted from published results."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from django.utils.translation import gettext as _

from meets.models import Meet, Publication
from meets.publishing.packs.content import Sources
from meets.sheets.documents import About
from meets.sheets.for_schools import MedalLine, MedalTable
from meets.sheets.wording import full_date, printed_at

Document = Mapping[str, object]
COUNTED = (1, 2, 3)


def medal_table(sources: Sources, now: datetime) -> MedalTable:
    """Every school that has a line in a result, also those without a medal. Guests have no place and win none."""
    documents = [one.document for one in sources.results]
    published = {one.row.event_id for one in sources.results}
    waiting = [name for number, name in sources.events.items() if number not in published]
    provisional = [d["event"]["name"] for d in documents if d["status"] == Publication.Status.PROVISIONAL]
    return MedalTable(
        about=_about(sources.meet, now),
        status=_("In progress") if waiting else _("Provisional") if provisional else _("Official"),
        lines=medal_lines(documents),
        notes=tuple(_notes(provisional, waiting)),
    )


def _about(meet: Meet, now: datetime) -> About:
    return About(
        meet=meet.name,
        event=_("All events"),
        date=full_date(meet.date),
        pit=meet.venue,
        printed=printed_at(now, meet.time_zone),
        paper=meet.paper,
    )


def _notes(provisional: Sequence[str], waiting: Sequence[str]) -> Iterable[str]:
    yield _("Who shares a place has it: two who share the first place are two firsts, and there is no second.")
    if provisional:
        yield _("Provisional: %(events)s.") % {"events": ", ".join(provisional)}
    if waiting:
        yield _("Not published yet: %(events)s.") % {"events": ", ".join(waiting)}


def medal_lines(documents: Iterable[Document]) -> tuple[MedalLine, ...]:
    """Schools by firsts, then seconds, then thirds; who has as many of each shares the place.

    A school is known by its code: its name may have been put right between two results, and the newest one is shown.
    """
    counts: dict[str, Counter[int]] = {}
    names: dict[str, str] = {}
    for document in sorted(documents, key=lambda document: document["published_at"]):
        for line in document["lines"]:
            code = line["school"]["code"]
            own, names[code] = counts.setdefault(code, Counter()), line["school"]["name"]
            if line["place"] in COUNTED and not line["guest"]:
                own[line["place"]] += 1
    ranked = sorted(counts.items(), key=lambda item: (*(-item[1][place] for place in COUNTED), names[item[0]], item[0]))
    medals = [tuple(own[place] for place in COUNTED) for _code, own in ranked]
    return tuple(
        MedalLine(f"{medals.index(won) + 1}{'=' if medals.count(won) > 1 else ''}", names[code], *won)
        for (code, _own), won in zip(ranked, medals, strict=True)
    )
