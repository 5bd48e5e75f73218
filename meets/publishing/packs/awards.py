"""Who has earned a certificate: places, standards reached and personal bests of published results."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

from athletes.models import Discipline
from meets.entries.values import with_minus
from meets.models import Publication
from meets.publishing.packs.content import Sources
from meets.publishing.sheet import class_words, result_sheet_of
from meets.records.results import best_that_counts, rules_in
from meets.sheets.for_schools import Certificate
from meets.sheets.wording import full_date
from scoring.marks import Unit, mark_in_cm, show_mark
from scoring.wind import show_wind

Document = Mapping[str, object]
PLACES = (lazy("First place"), lazy("Second place"), lazy("Third place"))
EQUAL = (lazy("Equal first place"), lazy("Equal second place"), lazy("Equal third place"))


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which certificates. `events`, `schools`: numbers, none for all; `places`: how many of each event, 0 for none."""

    places: int = 3
    standards: bool = False
    bests: bool = False
    events: Collection[int] = ()
    schools: Collection[int] = ()
    provisional: bool = False


@dataclass(frozen=True, slots=True)
class Awards:
    """`left_out`: names of events whose result is not official yet and was not asked for all the same."""

    certificates: tuple[Certificate, ...]
    left_out: tuple[str, ...]


def awards_of(sources: Sources, wanted: Wanted) -> Awards:
    """In the order of the programme, in each event by place."""
    found: list[Certificate] = []
    left_out = []
    for result in sources.results:
        if wanted.events and result.row.event_id not in wanted.events:
            continue
        if result.document["status"] == Publication.Status.PROVISIONAL and not wanted.provisional:
            left_out.append(result.document["event"]["name"])
            continue
        found += _of_result(result.document, result.row.sha256, sources, wanted)
    return Awards(tuple(found), tuple(left_out))


def _of_result(document: Document, sha256: str, sources: Sources, wanted: Wanted) -> Iterator[Certificate]:
    shown = result_sheet_of(document, sha256).lines
    rules, unit = rules_in(document), Unit(document["meet"]["unit"])
    for line, words in zip(document["lines"], shown, strict=True):
        entry = sources.entries.get(line["entry"])
        school = entry.athlete.school if entry else None
        if line["best"] is None or (wanted.schools and (school is None or school.pk not in wanted.schools)):
            continue
        place = list(_place(line, wanted))
        others = list(_reached(line, wanted))
        if not place and not others:
            continue
        # A standard or a personal best may have been reached with another mark than the place.
        counted = best_that_counts(line, rules)
        by_place = bool(place) or counted is None or counted.mark == line["best"]["mark"]
        mark = line["best"]["mark"] if by_place else counted.mark
        yield Certificate(
            name=str(entry.athlete) if entry else line["name"] or _("bib %(bib)s") % {"bib": line["bib"]},
            school=school.name if school else line["school"]["name"],
            event=", ".join(part for part in (document["event"]["name"], class_words(line)) if part),
            honours=(*place, *others),
            mark=words.best if by_place else show_mark(mark, unit),
            mark_cm=mark_in_cm(mark, unit),
            wind=words.best_wind if by_place else show_wind(counted.wind),
            meet=document["meet"]["name"],
            date=_when_and_where(document["meet"]),
            triple=document["event"]["discipline"] == Discipline.TRIPLE_JUMP,
            provisional=_provisional(document),
        )


def _place(line: Document, wanted: Wanted) -> Iterable[str]:
    if line["guest"] or line["place"] is None or line["place"] > wanted.places:
        return
    place = line["place"]
    if place <= len(PLACES):
        yield str((EQUAL if line["shared"] else PLACES)[place - 1])
    else:
        yield (_("Place %(place)d, shared") if line["shared"] else _("Place %(place)d")) % {"place": place}


def _reached(line: Document, wanted: Wanted) -> Iterable[str]:
    if wanted.standards and line["standard"]:
        yield _("Standard: %(name)s") % {"name": line["standard"]}
    if wanted.bests and "PB" in line["signs"]:
        yield _("Personal best")


def _when_and_where(meet: Document) -> str:
    return " · ".join(part for part in (full_date(date.fromisoformat(meet["date"])), meet["venue"]) if part)


def _provisional(document: Document) -> str:
    if document["status"] != Publication.Status.PROVISIONAL:
        return ""
    return _("Provisional result of version %(version)d: it may still change.") % {"version": document["version"]}


def label_of(certificate: Certificate) -> tuple[str, ...]:
    """Name, school, event, then place and mark; the first line is the large one."""
    mark = f"{certificate.mark} {with_minus(certificate.wind)}".strip()
    last = " · ".join(part for part in (*certificate.honours, mark) if part)
    return (certificate.name, certificate.school, certificate.event, last, certificate.provisional)


def envelopes(sources: Sources, wanted: Wanted) -> tuple[tuple[str, ...], ...]:
    """A label for each school that has somebody in a result."""
    schools = {entry.athlete.school for key, entry in sources.entries.items()}
    chosen = [school for school in schools if not wanted.schools or school.pk in wanted.schools]
    return tuple((school.name, sources.meet.name, full_date(sources.meet.date)) for school in sorted(chosen, key=str))
