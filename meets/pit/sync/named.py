"""Athletes named at the pit who are on no list: found or made, entered as pending, known by the name given there."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from django.utils.translation import gettext as _

from athletes.models import Athlete, School
from athletes.reading.names import folded, tidy_name, tidy_text
from meets.models import Delivery, Entry, Event, LogRow
from meets.pit.sync.ground import Ground
from meets.pit.sync.judging import NAMED_AT_PIT, Doubt
from meets.pit.sync.message import ADDED, Sent, storable

LONGEST_NAME = 120
NO_CODE = "NEW"


@dataclass(frozen=True, slots=True)
class Named:
    """An entry for somebody named at the pit, and that name. `anew`: it is pending, and the log says so."""

    name: str
    key: str
    anew: bool


def keys_of(names: Iterable[str], event_id: int) -> dict[str, str]:
    """Keys of the entries that are known by these names in the event; names of whom nothing has come are left out."""
    wanted = {name: UUID(name.removeprefix("new-")) for name in names}
    if not wanted:
        return {}
    own = Entry.objects.filter(event=event_id, named_at_pit__in=wanted.values())
    known = {f"new-{named}": str(pk) for pk, named in own.values_list("pk", "named_at_pit")}
    return known | {name: key for name in wanted if name not in known for key in _by_other_name(name, event_id)}


def _by_other_name(name: str, event_id: int) -> list[str]:
    """Two phones name the same athlete each in its own way: the second name is in what its phone sent."""
    sent = Delivery.objects.filter(event=event_id, status=Delivery.Status.STORED, body__contains=name)
    ids = [row.pk for row in sent if f'"{ADDED}"' in row.body and '"named"' in row.body]
    rows = LogRow.objects.filter(pk__in=ids).values_list("values__entry", flat=True)
    return [str(key) for key in rows[:1]]


def entry_named(sent: Sent, ground: Ground, *, forced: bool = False) -> Named:
    """Find or make the athlete and the pending entry that an entry of kind `added` tells of. Raises Doubt.

    `forced`: the desk says that somebody who is on the list already is meant.
    """
    named, values = sent.said.get("named"), sent.said.get("values")
    if not isinstance(named, dict) or not isinstance(values, dict) or not storable(named):
        raise Doubt(_("It does not say who was added."))
    new = values.get("entry")
    if not isinstance(new, str) or not NAMED_AT_PIT.fullmatch(new):
        raise Doubt(_("It gives the added athlete no name of the form that the pit page gives."))
    first, last = _names(named)
    school = _school(_text(named, "school"))
    athlete = _athlete(school, first, last) or _new_athlete(ground.event, school, first, last, _text(named, "year"))
    entry = Entry.objects.filter(event=ground.event.pk, athlete=athlete).first()
    if entry is None:
        entry = Entry.objects.create(
            event_id=ground.event.pk,
            athlete=athlete,
            bib=_free_bib(ground.event, _text(named, "bib")),
            named_at_pit=UUID(new.removeprefix("new-")),
            status=Entry.Status.PENDING,
        )
    elif entry.named_at_pit is None and not forced:
        raise Doubt(_on_the_list(entry, ground.event))
    ground.bibs[str(entry.pk)] = entry.bib
    return Named(new, str(entry.pk), anew=entry.status == Entry.Status.PENDING)


def _text(named: Mapping[str, object], field: str) -> str:
    value = named.get(field)
    return tidy_text(str(value)) if isinstance(value, str | int) else ""


def _names(named: Mapping[str, object]) -> tuple[str, str]:
    name = tidy_name(_text(named, "name"))[:LONGEST_NAME]
    if not name:
        raise Doubt(_("It does not say who was added."))
    first, _blank, last = name.rpartition(" ")
    return first[:60], last[:60]


def _school(text: str) -> School:
    """By code or name; else a new one, whose code says that somebody must look at it."""
    wanted = folded(text)
    schools = list(School.objects.order_by("pk"))
    for school in schools:
        if text and (school.code.upper() == text.upper() or folded(school.name) == wanted):
            return school
    name = text[:80] or _("School not stated")
    if not text and (known := next((one for one in schools if one.name == name), None)):
        return known
    taken = {school.code.upper() for school in schools}
    number = 1
    while f"{NO_CODE}{number}" in taken:
        number += 1
    return School.objects.create(code=f"{NO_CODE}{number}", name=name)


def _athlete(school: School, first: str, last: str) -> Athlete | None:
    wanted = (folded(first), folded(last))
    found = [a for a in school.athletes.order_by("pk") if (folded(a.first_name), folded(a.last_name)) == wanted]
    return found[0] if found else None


def _new_athlete(event: Event, school: School, first: str, last: str, year: str) -> Athlete:
    """The day of birth is not known at the pit, and nothing stands for it: the desk asks."""
    girl = event.category != Event.Category.BOYS
    return Athlete.objects.create(
        school=school,
        first_name=first,
        last_name=last,
        sex=Athlete.Sex.FEMALE if girl else Athlete.Sex.MALE,
        school_year=year[:12],
    )


def _free_bib(event: Event, bib: str) -> str:
    """The bib, unless somebody in the event wears it: the desk gives another."""
    return "" if len(bib) > 8 or Entry.objects.filter(event=event.pk, bib=bib).exists() else bib


def _on_the_list(entry: Entry, event: Event) -> str:
    if entry.status == Entry.Status.WITHDRAWN:
        says = _("%(name)s is withdrawn from %(event)s: restore the entry at the desk, then take this in.")
    else:
        says = _("%(name)s is on the list of %(event)s already, with bib %(bib)s.")
    return says % {"name": entry.athlete, "event": event.name, "bib": entry.bib or f"#{entry.pk}"}
