"""Keys are made and taken back, and phones come in with them."""

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from meets.models import Device, Event, Meet, PitKey, PitSession, Role
from meets.pit.keys.reads import CLOSED, comes_in_until, sessions_of
from meets.pit.keys.roles import kept_apart
from meets.pit.keys.tokens import token_of
from meets.running.refusals import Refusal
from meets.running.write_lock import one_writer

# 31 signs that nobody takes for each other, should a secret have to be typed; 26 of them are 128 bits.
SIGNS, SECRET_LENGTH = "23456789abcdefghjkmnpqrstuvwxyz", 26


class NoSuchKey(Exception):
    """No key of this server; its text is a sentence for the official."""


class KeyEnded(NoSuchKey):
    """The key was taken back, or its meet is over."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A key to be made: for a session or for an event, and for which roles."""

    where: PitSession | Event
    roles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Made:
    """A new key with its secret, which is told this once and kept nowhere."""

    key: PitKey
    secret: str


@dataclass(frozen=True, slots=True)
class Joined:
    """A phone that has come in, and the sessions that its key covers."""

    device: Device
    token: str
    sessions: tuple[PitSession, ...]


def hash_of(secret: str) -> str:
    return sha256(secret.encode("utf-8", "replace")).hexdigest()


def make_keys(*, meet: Meet, wanted: Sequence[Wanted], by: str, now: datetime) -> list[Made]:
    """New keys, all or none. Raises Refusal with a sentence."""
    made = []
    with one_writer(), transaction.atomic():
        for one in wanted:
            roles = _roles(one.roles)
            session = one.where if isinstance(one.where, PitSession) else None
            event = one.where if isinstance(one.where, Event) else None
            if (session.pit.meet_id if session else event.meet_id) != meet.pk:
                raise Refusal(_("%(where)s is not in this meet.") % {"where": one.where})
            secret = "".join(secrets.choice(SIGNS) for _sign in range(SECRET_LENGTH))
            key = PitKey.objects.create(
                meet=meet, session=session, event=event, roles=roles, hash=hash_of(secret), made_by=by[:80], made_at=now
            )
            made.append(Made(key, secret))
    return made


def _roles(wanted: Sequence[str]) -> list[str]:
    """The roles in their usual order. Raises Refusal where they are none, or cannot go together."""
    roles = [role.value for role in Role if role in wanted]
    if not roles or set(wanted) - set(Role.values):
        raise Refusal(_("A code needs at least one role: who is to scan it?"))
    if Role.DISPLAY in roles and len(roles) > 1:
        raise Refusal(_("A display for the athletes shows what everybody may see; its code has no other role."))
    if pair := kept_apart(roles):
        says = _("One code cannot be for %(one)s and %(other)s: the second record is taken without seeing the first.")
        raise Refusal(says % {"one": pair[0].label, "other": pair[1].label})
    return roles


def close_key(*, key: PitKey) -> None:
    """Let no more phones in: the printed code is lost. Those that came in with it go on."""
    with one_writer():
        unknown = CLOSED + secrets.token_hex((64 - len(CLOSED)) // 2)
        PitKey.objects.filter(pk=key.pk).exclude(hash__startswith=CLOSED).update(hash=unknown)


def revoke_key(*, key: PitKey, now: datetime) -> int:
    """Let no more phones in, and lock out those that came in with it. Gives how many these are."""
    with one_writer(), transaction.atomic():
        PitKey.objects.filter(pk=key.pk, revoked_at=None).update(revoked_at=now)
        return key.devices.filter(revoked_at=None).update(revoked_at=now)


def revoke_device(*, device: Device, now: datetime) -> None:
    """Lock one phone out; its key still lets others in."""
    with one_writer():
        Device.objects.filter(pk=device.pk, revoked_at=None).update(revoked_at=now)


def join(*, secret: str, official: str, app_version: str, now: datetime) -> Joined:
    """A phone comes in. Raises NoSuchKey, or KeyEnded, with a sentence."""
    with one_writer(), transaction.atomic():
        key = PitKey.objects.select_related("meet").filter(hash=hash_of(secret)).first()
        if key is None:
            raise NoSuchKey(
                _("This code is not known here. Look whether it is of today's meet, or ask the desk for one.")
            )
        if key.revoked_at is not None:
            raise KeyEnded(_("This code was taken back by the desk. Ask there for the new one."))
        if now >= comes_in_until(key.meet):
            raise KeyEnded(_("The meet of this code is over."))
        Meet.objects.select_for_update(no_key=True).get(pk=key.meet_id)  # or two phones get one number
        highest = key.meet.devices.aggregate(highest=Max("number"))["highest"] or 0
        device = Device.objects.create(
            meet=key.meet,
            key=key,
            number=highest + 1,
            official=official[:80],
            came_in_at=now,
            last_contact=now,
            app_version=app_version[:40],
        )
    return Joined(device, token_of(device), tuple(sessions_of(key)))
