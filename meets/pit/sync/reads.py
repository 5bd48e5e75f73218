"""What the desk asks of phones: what is missing, what waits for somebody, whether an event has everything."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Max, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.models import Delivery, Device, Event, PitSession, Role, SetAside, Stream
from meets.pit.keys.roles import MAY_WRITE
from meets.pit.sync.having import have_of
from meets.running.reads import state_of
from meets.running.sessions import moved_to
from meets.running.times import moment_said

SILENT = timedelta(minutes=2)


@dataclass(frozen=True, slots=True)
class Gap:
    """Entries that a phone has numbered and nobody has brought: `first` to `last` of one of its streams."""

    device: int
    official: str
    epoch: str
    first: int
    last: int
    last_contact: datetime | None

    @property
    def many(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class CloseOut:
    """Whether everything that phones hold for an event is here and settled; else what is not, a sentence each."""

    ok: bool
    says: tuple[str, ...]


def devices_of(place: Event | PitSession) -> QuerySet[Device]:
    """Phones that could hold something for an event or a session: by their key, or because they sent something."""
    if isinstance(place, PitSession):
        covers = Q(key__session=place) | Q(key__event__session_parts__session=place)
        sent = Q(streams__deliveries__event__session_parts__session=place)
    else:
        moved = moved_to(place.pk, place.meet_id)
        covers = Q(key__event=place) | Q(key__session__parts__event=place) | Q(key__session__in=moved.values("pk"))
        sent = Q(streams__deliveries__event=place)
    return Device.objects.filter(covers | sent).distinct().order_by("number")


def missing(place: Event | PitSession) -> tuple[Gap, ...]:
    """Every gap in the streams of the phones of an event or session, by phone and number."""
    return tuple(gap for device in devices_of(place) for gap in gaps_of(device))


def gaps_of(device: Device) -> tuple[Gap, ...]:
    """Gaps of one phone; a database of it that was wiped keeps its own."""
    return tuple(
        Gap(device.number, device.official, str(stream.epoch), first, last, device.last_contact)
        for stream in device.streams.order_by("pk")
        for first, last in have_of(stream).holes
    )


def included(device: Device) -> dict[str, int]:
    """Epoch -> number up to which the entries of a phone are here."""
    return {str(stream.epoch): have_of(stream).upto for stream in device.streams.all()}


def waiting(place: Event | PitSession) -> QuerySet[Delivery]:
    """Entries that somebody must look at before they count, oldest first; of a session also those without an event."""
    found = Delivery.objects.filter(status=Delivery.Status.NEEDS_REVIEW).select_related("stream__device", "event")
    if isinstance(place, PitSession):
        in_it = Q(event__session_parts__session=place) | Q(event=None, stream__device__in=devices_of(place))
    else:
        in_it = Q(event=place) | Q(event=None, stream__device__in=devices_of(place))
    return found.filter(in_it).distinct().order_by("at", "stream", "seq")


def set_aside(place: Event | PitSession) -> QuerySet[SetAside]:
    """Entries of the phones of an event or session that clash with others and are not settled."""
    return SetAside.objects.filter(device__in=devices_of(place), settled_at=None).select_related("device")


def close_out(event: Event) -> CloseOut:
    """Before an event becomes official: is everything here that was written down for it?"""
    gaps = missing(event)
    says = [*_gaps_say(gaps), *_unsent_says(event, {gap.device for gap in gaps}), *_waiting_says(event)]
    state = state_of(event)
    if state.disputes:
        bibs = sorted({state.entry(turn.entry).line.bib for turn in state.disputes}, key=lambda bib: (len(bib), bib))
        says.append(
            ngettext(
                "Two records differ: bib %(bibs)s. The referee decides.",
                "Two records differ: bibs %(bibs)s. The referee decides.",
                len(bibs),
            )
            % {"bibs": ", ".join(bibs)}
        )
    return CloseOut(not says, tuple(says))


def _gaps_say(gaps: Sequence[Gap]) -> list[str]:
    lost: dict[int, list[Gap]] = defaultdict(list)
    for gap in gaps:
        lost[gap.device].append(gap)
    return [
        ngettext(
            "Phone %(number)d (%(official)s): entry %(seqs)s has not come.",
            "Phone %(number)d (%(official)s): entries %(seqs)s have not come.",
            sum(gap.many for gap in own),
        )
        % {"number": number, "official": own[0].official, "seqs": _seqs(own)}
        for number, own in lost.items()
    ]


def _seqs(gaps: Iterable[Gap]) -> str:
    return ", ".join(str(gap.first) if gap.many == 1 else f"{gap.first}–{gap.last}" for gap in gaps)


def _unsent_says(event: Event, named: set[int]) -> list[str]:
    """Phones that said they had something to send, and have sent nothing since; a gap says it better."""
    devices = devices_of(event).filter(unsent__gt=0).exclude(number__in=named)
    latest = dict(
        Stream.objects.filter(device__in=devices).values_list("device").annotate(latest=Max("deliveries__at"))
    )
    return [
        ngettext(
            "Phone %(number)d (%(official)s) said that it has %(many)d entry to send.",
            "Phone %(number)d (%(official)s) said that it has %(many)d entries to send.",
            device.unsent,
        )
        % {"number": device.number, "official": device.official, "many": device.unsent}
        for device in devices
        if device.last_contact and (latest.get(device.pk) is None or latest[device.pk] < device.last_contact)
    ]


def not_heard_of(event: Event, now: datetime) -> tuple[str, ...]:
    """Phones that write and have been silent for a while, a sentence each: they may hold what nobody knows of."""
    says = _(
        "Phone %(number)d (%(roles)s, %(official)s) has not been heard from since %(at)s; it may still hold trials."
    )
    return tuple(
        says
        % {
            "number": device.number,
            "roles": ", ".join(str(role.label) for role in Role if role in device.key.roles),
            "official": device.official or _("no name"),
            "at": moment_said(heard, now),
        }
        for device in devices_of(event).select_related("key")
        if any(MAY_WRITE[Role(role)] for role in device.key.roles)
        and now - (heard := device.last_contact or device.came_in_at) > SILENT
    )


def _waiting_says(event: Event) -> list[str]:
    says = []
    if many := waiting(event).count():
        text = ngettext("%(many)d entry waits to be looked at.", "%(many)d entries wait to be looked at.", many)
        says.append(text % {"many": many})
    by_phone = Counter(one.device.number for one in set_aside(event))
    for number, many in sorted(by_phone.items()):
        text = ngettext(
            "%(many)d entry of phone %(number)d was set aside: it clashes with another.",
            "%(many)d entries of phone %(number)d were set aside: they clash with others.",
            many,
        )
        says.append(text % {"many": many, "number": number})
    return says
