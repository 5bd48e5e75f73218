"""Phones, codes and what is missing of a meet as the desk sees them. Plain values, a fixed number of queries."""

import json
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, F, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.desk.phones.words import ago, clock_said, entries_said, place_said, roles_said
from meets.models import Delivery, Device, Meet, PitKey, SetAside, Stream
from meets.pit.keys.reads import CLOSED
from meets.pit.sync.having import have_from
from meets.pit.sync.reads import SILENT
from meets.running.times import moment_said

Holes = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class PhoneLine:
    """A phone. `missing`: numbers that it has given and nobody has brought; `lost`: more than it says it holds.

    `heard`: when it last spoke, if it has been silent since: what it has written after that nobody knows.
    """

    device: Device
    where: str
    roles: str
    contact: str
    silent: bool
    missing: Holes
    lost: bool
    clock: str
    locked_out: bool
    heard: str

    @property
    def entries(self) -> str:
        """How its entries stand, in words."""
        if self.lost:
            return _("%(entries)s missing") % {"entries": entries_said(self.missing)}
        many = max(self.device.unsent, sum(last - first + 1 for first, last in self.missing))
        if many:
            return ngettext("%(many)d not sent yet", "%(many)d not sent yet", many) % {"many": many}
        return _("all here as of %(at)s") % {"at": self.heard} if self.heard else _("all here")

    @property
    def alarm(self) -> str:
        """The sentence that names what is missing; '' if nothing is."""
        if not self.lost:
            return ""
        says = ngettext(
            "%(phone)s (%(official)s): %(entries)s has not come, and the phone does not say that it holds it.",
            "%(phone)s (%(official)s): %(entries)s have not come, and the phone does not say that it holds them.",
            sum(last - first + 1 for first, last in self.missing),
        )
        phone = str(self.device).capitalize()
        return says % {
            "phone": phone,
            "official": self.device.official or _("no name"),
            "entries": entries_said(self.missing),
        }


@dataclass(frozen=True, slots=True)
class CodeLine:
    """A code that was made. `closed`: lets no more phones in; `revoked`: its phones are locked out as well."""

    key: PitKey
    where: str
    roles: str
    phones: int
    closed: bool
    revoked: bool


@dataclass(frozen=True, slots=True)
class Looks:
    """How many entries somebody must look at."""

    waiting: int
    aside: int

    @property
    def many(self) -> int:
        return self.waiting + self.aside


def devices_of(meet: Meet) -> QuerySet[Device]:
    return meet.devices.select_related("key__session__pit", "key__event", "meet")


def phones_of(meet: Meet, now: datetime) -> list[PhoneLine]:
    devices = list(devices_of(meet))
    missing = missing_in(meet)
    return [_phone(device, missing.get(device.pk, ()), now) for device in devices]


def phone_of(device: Device, now: datetime) -> PhoneLine:
    return _phone(device, missing_in(device.meet).get(device.pk, ()), now)


def _phone(device: Device, missing: Holes, now: datetime) -> PhoneLine:
    silent = device.last_contact is None or now - device.last_contact > SILENT
    many = sum(last - first + 1 for first, last in missing)
    return PhoneLine(
        device=device,
        where=place_said(device.key),
        roles=roles_said(device.key.roles),
        contact=ago(device.last_contact, now),
        silent=silent,
        missing=missing,
        lost=many > device.unsent,
        clock=clock_said(device.clock_off_s),
        locked_out=device.revoked_at is not None or device.key.revoked_at is not None,
        heard=moment_said(device.last_contact or device.came_in_at, now) if silent else "",
    )


def missing_in(meet: Meet) -> Mapping[object, Holes]:
    """By phone: what its streams miss, of all databases it ever had."""
    streams = list(Stream.objects.filter(device__meet=meet, max_seq__gt=F("upto")).order_by("pk"))
    if not streams:
        return {}
    came: dict[int, set[int]] = defaultdict(set)
    behind = Delivery.objects.filter(stream__device__meet=meet, stream__max_seq__gt=F("stream__upto"))
    for stream, seq in behind.filter(seq__gt=F("stream__upto")).values_list("stream", "seq"):
        came[stream].add(seq)
    by_epoch = {(str(stream.device_id), str(stream.epoch)): stream.pk for stream in streams}
    for aside in SetAside.objects.filter(device__meet=meet):
        said = said_in(aside.body)
        stream = by_epoch.get((str(said.get("device")), str(said.get("epoch"))))
        if stream is not None and type(said.get("seq")) is int:
            came[stream].add(said["seq"])
    found: dict[object, Holes] = {}
    for stream in streams:
        holes = have_from(stream.upto, came[stream.pk], stream.max_seq).holes
        if holes:
            found[stream.device_id] = (*found.get(stream.device_id, ()), *holes)
    return found


def codes_of(meet: Meet) -> list[CodeLine]:
    """Every code, those made last first, each making in its order; those that let nobody in any more at the end."""
    keys = meet.pit_keys.select_related("session__pit", "event").annotate(phones=Count("devices"))
    lines = [
        CodeLine(
            key=key,
            where=place_said(key),
            roles=roles_said(key.roles),
            phones=key.phones,
            closed=key.hash.startswith(CLOSED),
            revoked=key.revoked_at is not None,
        )
        for key in keys.order_by("-made_at", "pk")
    ]
    return sorted(lines, key=lambda line: line.closed or line.revoked)


def open_codes(meet: Meet) -> set[tuple[int | None, int | None, frozenset[str]]]:
    """Session, event and roles of the codes that still let phones in."""
    keys = meet.pit_keys.filter(revoked_at=None).exclude(hash__startswith=CLOSED)
    return {(key.session_id, key.event_id, frozenset(key.roles)) for key in keys}


def looks_of(meet: Meet) -> Looks:
    waiting = Delivery.objects.filter(stream__device__meet=meet, status=Delivery.Status.NEEDS_REVIEW)
    return Looks(waiting.count(), SetAside.objects.filter(device__meet=meet, settled_at=None).count())


def troubles_of(meet: Meet, now: datetime) -> list[str]:
    """What the desk must know of phones, a sentence each: what is missing, what waits to be looked at."""
    if not Device.objects.filter(meet=meet).exists():
        return []
    says = [line.alarm for line in phones_of(meet, now) if line.lost]
    if many := looks_of(meet).many:
        text = ngettext(
            "%(many)d entry of a phone waits to be looked at.",
            "%(many)d entries of phones wait to be looked at.",
            many,
        )
        says.append(text % {"many": many})
    return says


@dataclass(frozen=True, slots=True)
class PhonePage:
    """One phone with what was received from it."""

    line: PhoneLine
    received: int
    waiting: int
    brought: int


def phone_page(device: Device, now: datetime) -> PhonePage:
    own = Q(stream__device=device)
    counted = Delivery.objects.filter(own).aggregate(
        received=Count("pk"),
        waiting=Count("pk", filter=Q(status=Delivery.Status.NEEDS_REVIEW)),
        brought=Count("pk", filter=~Q(brought_by=device)),
    )
    return PhonePage(phone_of(device, now), **counted)


def said_in(body: str) -> Mapping[str, object]:
    """What an entry says, as far as it can be read."""
    try:
        said = json.loads(body)
    except ValueError:
        return {}
    return said if isinstance(said, dict) else {}
