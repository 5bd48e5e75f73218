"""Entries that somebody must look at, in words: what, by whom, and why it waits."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from django.utils import timezone
from django.utils.translation import gettext as _

from meets.desk.event.log_words import LogWords
from meets.desk.phones.reads import said_in
from meets.models import Delivery, Device, Entry, Event, LogRow, Meet, Role, SetAside
from meets.pit.sync.message import read_id
from meets.running.times import moment_said
from scoring.errors import RuleError
from scoring.facts import from_plain
from scoring.marks import Unit


@dataclass(frozen=True, slots=True)
class Said:
    """What an entry says. `event` is '' where it names none of this meet."""

    what: str
    event: str
    who: str
    at: str
    reason: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """An entry that is in no log yet. `decidable`: whether it can be taken in at all."""

    id: str
    said: Said
    why: str
    phone: str
    number: int
    decidable: bool


@dataclass(frozen=True, slots=True)
class Aside:
    """An entry that clashes with another one; `other` is what that says, None where it cannot be told."""

    id: int
    said: Said
    why: str
    other: Said | None
    phone: str
    decidable: bool


def waiting_in(meet: Meet) -> list[Waiting]:
    """Oldest first."""
    found = Delivery.objects.filter(stream__device__meet=meet, status=Delivery.Status.NEEDS_REVIEW)
    deliveries = list(found.select_related("stream__device", "event").order_by("at", "stream", "seq"))
    words = Words(meet, {one.event_id for one in deliveries})
    return [
        Waiting(
            id=str(one.pk),
            said=words.said(said_in(one.body), one.stream.device, one.event),
            why=one.problem,
            phone=_phone(one.stream.device),
            number=one.seq,
            decidable=one.event_id is not None,
        )
        for one in deliveries
    ]


def set_aside_in(meet: Meet) -> list[Aside]:
    asides = list(SetAside.objects.filter(device__meet=meet, settled_at=None).select_related("device"))
    others = [one.clashes_with for one in asides if read_id(one.clashes_with)]
    deliveries = {str(one.pk): one for one in _deliveries(others)}
    rows = {str(row.pk): row for row in LogRow.objects.filter(pk__in=others, event__meet=meet).select_related("event")}
    events = {event.pk: event for event in meet.events.all()}
    told = [(one, said_in(one.body)) for one in asides]
    words = Words(meet, events if asides else ())
    return [
        Aside(
            id=one.pk,
            said=words.said(said, one.device, _event(said, events)),
            why=_clash(one),
            other=_other(one, deliveries, rows, words),
            phone=_phone(one.device),
            decidable=_event(said, events) is not None,
        )
        for one, said in told
    ]


def _deliveries(ids: Iterable[str]) -> Iterable[Delivery]:
    return Delivery.objects.filter(pk__in=list(ids)).select_related("stream__device", "event")


def _event(said: Mapping[str, object], events: Mapping[int, Event]) -> Event | None:
    event_id = said.get("event")
    return events.get(event_id) if type(event_id) is int else None


def _other(
    aside: SetAside, deliveries: Mapping[str, Delivery], rows: Mapping[str, LogRow], words: "Words"
) -> Said | None:
    delivery, row = deliveries.get(aside.clashes_with), rows.get(aside.clashes_with)
    if delivery is not None:
        return words.said(said_in(delivery.body), delivery.stream.device, delivery.event)
    if row is not None:
        plain = {"kind": row.kind, "values": row.values, "official": row.by, "reason": row.reason}
        return words.said(plain, None, row.event, row.at)
    return None


def _clash(aside: SetAside) -> str:
    if aside.clashes_with == "hash":
        return _("Something of it was changed on the way: its check sum does not fit.")
    if aside.clashes_with == "form":
        return _("It is not written as entries of a phone are.")
    return _("Another entry has the same number or name already.")


def _phone(device: Device) -> str:
    return _("%(phone)s (%(official)s)") % {"phone": device, "official": device.official or _("no name")}


class Words:
    """Puts entries of one meet into words; the bibs of the events are read once."""

    def __init__(self, meet: Meet, events: Iterable[int | None]) -> None:
        self.unit = Unit(meet.unit)
        self.bibs: dict[str, str] = {}
        wanted = [event for event in events if event is not None]
        if wanted:
            found = Entry.objects.filter(event__in=wanted).values_list("pk", "bib", "named_at_pit")
            for pk, bib, named in found:
                self.bibs[str(pk)] = bib or f"#{pk}"
                if named:
                    self.bibs[f"new-{named}"] = self.bibs[str(pk)]

    def said(
        self, said: Mapping[str, object], device: Device | None, event: Event | None, at: datetime | None = None
    ) -> Said:
        who = _text(said.get("official")) or (device.official if device else "")
        return Said(
            what=self._what(said),
            event=event.name if event else "",
            who=", ".join(part for part in (who, _role(said)) if part),
            at=moment_said(written, timezone.now(), seconds=True) if (written := at or _written(said)) else "",
            reason=_text(said.get("reason")),
        )

    def _what(self, said: Mapping[str, object]) -> str:
        kind, values, named = said.get("kind"), said.get("values"), said.get("named")
        if not isinstance(kind, str) or not isinstance(values, dict):
            return _("It cannot be read.")
        bibs = dict(self.bibs)
        if isinstance(named, dict):
            parts = [_text(named.get(part)) for part in ("bib", "name", "school")]
            bibs[_text(values.get("entry"))] = " ".join(part for part in parts if part) or _("without a bib")
        try:
            return LogWords(bibs, self.unit)(from_plain(kind, values))
        except (RuleError, TypeError, ValueError):
            parts = [f"{name} {value}" for name, value in values.items() if isinstance(value, str | int)]
            return f"{kind.replace('_', ' ')}: {', '.join(parts)}"[:200]


def _text(value: object) -> str:
    return value.strip() if isinstance(value, str) else ""


def _role(said: Mapping[str, object]) -> str:
    role = said.get("role")
    return str(Role(role).label) if role in Role.values else ""


def _written(said: Mapping[str, object]) -> datetime | None:
    wall, offset = said.get("wall"), said.get("offset", 0)
    if type(wall) is not int or type(offset) is not int:
        return None
    try:
        at = datetime.fromtimestamp((wall + offset) / 1000, UTC)
        timezone.localtime(at)  # (the first and the last day of all are not there in every zone)
        return at
    except (OverflowError, ValueError, OSError):
        return None
