"""The signed token of a phone. It says enough to know the phone again in a database older than the phone."""

import uuid
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256

from django.core import signing
from django.db import transaction

from meets.models import Device, Event, Meet, PitKey, PitSession
from meets.running.write_lock import one_writer

SALT = "pit device"
LONGEST = 2000


class BadToken(Exception):
    """No token of ours, or one of a meet that this server does not know."""


@dataclass(frozen=True, slots=True)
class Claims:
    """What a token says: device, its number, key (with its hash), meet, session or event, roles, when it came in."""

    device: uuid.UUID
    number: int
    key: int
    hash: str
    meet: int
    session: int | None
    event: int | None
    roles: tuple[str, ...]
    came_in_at: datetime


def token_of(device: Device) -> str:
    key = device.key
    claims = {
        "d": device.pk.hex,
        "n": device.number,
        "k": key.pk,
        "h": key.hash,
        "m": device.meet_id,
        "s": key.session_id,
        "e": key.event_id,
        "r": list(key.roles),
        "t": int(device.came_in_at.timestamp()),
    }
    return signing.dumps(claims, salt=SALT, compress=False)


def claims_of(token: str) -> Claims:
    """What a token says. Raises BadToken if it was not signed here."""
    if len(token) > LONGEST:
        raise BadToken
    try:
        said = signing.loads(token, salt=SALT)
    except signing.BadSignature as problem:
        raise BadToken from problem
    return Claims(
        device=uuid.UUID(said["d"]),
        number=said["n"],
        key=said["k"],
        hash=said["h"],
        meet=said["m"],
        session=said["s"],
        event=said["e"],
        roles=tuple(said["r"]),
        came_in_at=datetime.fromtimestamp(said["t"], UTC),
    )


def device_with(claims: Claims) -> Device:
    """The phone, its key and meet with it. Made again if this database is older than the phone. Raises BadToken."""
    return _known(claims) or _made_again(claims)


def _known(claims: Claims) -> Device | None:
    found = Device.objects.select_related("key", "meet").filter(pk=claims.device).first()
    if found is not None and found.meet_id != claims.meet:
        raise BadToken
    return found


def _made_again(claims: Claims) -> Device:
    with one_writer(), transaction.atomic():
        meet = Meet.objects.select_for_update(no_key=True).filter(pk=claims.meet).first()
        if meet is None:
            raise BadToken
        # Two requests of one phone may come at once.
        if (found := _known(claims)) is not None:
            return found
        taken = set(meet.devices.values_list("number", flat=True))
        number = claims.number if claims.number not in taken else max(taken) + 1
        return Device.objects.create(
            pk=claims.device,
            meet=meet,
            key=_key_again(claims, meet),
            number=number,
            came_in_at=claims.came_in_at,
        )


def _key_again(claims: Claims, meet: Meet) -> PitKey:
    """The key by its hash, which tells nobody its secret; its printed code lets phones in again.

    Where session or event are not in this database either, a key without rights: whatever the phone sends is kept
    for the desk to look at.
    """
    known = PitKey.objects.filter(hash=claims.hash, meet=meet).first()
    if known is not None:
        return known
    session = PitSession.objects.filter(pk=claims.session, pit__meet=meet).first() if claims.session else None
    event = Event.objects.filter(pk=claims.event, meet=meet).first() if claims.event else None
    if session is not None or event is not None:
        return PitKey.objects.create(
            meet=meet, session=session, event=event, roles=list(claims.roles), hash=claims.hash,
            made_at=claims.came_in_at,
        )  # fmt: skip
    session = PitSession.objects.filter(pit__meet=meet).first()
    event = None if session else meet.events.first()
    if session is None and event is None:
        raise BadToken
    hash = sha256(f"no session, no event: {claims.hash}".encode()).hexdigest()
    key, _made = PitKey.objects.get_or_create(
        hash=hash, defaults={"meet": meet, "session": session, "event": event, "made_at": claims.came_in_at}
    )
    return key
