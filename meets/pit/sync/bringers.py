"""Who brings entries: the phone of the token, asked for along with the rest where nothing is to be said against it."""

from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from uuid import UUID

from django.http import HttpRequest

from meets.models import Meet
from meets.pit.keys.access import Caller, device_of
from meets.pit.keys.reads import delivers_until
from meets.pit.keys.tokens import BadToken, Claims, claims_of
from meets.pit.sync.judging import Source
from meets.pit.sync.planned import Statement
from meets.pit.sync.tables import read_json

BEARER = "Bearer "


class MoreToSay(Exception):
    """The token was signed here, and that is not the whole story."""


@dataclass(frozen=True, slots=True)
class Bringer:
    """A phone that brings entries, and what its own key covers."""

    device: UUID
    covers: Source


def bringer_of(caller: Caller) -> Bringer:
    key = caller.key
    # Locked out, a phone comes here only through the desk, with its entries in a file.
    out = caller.device.revoked_at is not None or key.revoked_at is not None
    covers = Source(caller.device.meet_id, frozenset(key.roles), key.session_id, key.event_id, caller.late, out)
    return Bringer(caller.device.pk, covers)


def signed_by(request: HttpRequest) -> Claims | None:
    """What the token that is shown says, if it was signed here; whether it still counts has to be asked."""
    header = request.META.get("HTTP_AUTHORIZATION", "")
    if not header.startswith(BEARER):
        return None
    try:
        return _signed(header.removeprefix(BEARER))
    except BadToken:
        return None


# What was signed once stays signed; whether it still counts is asked each time.
_signed = lru_cache(maxsize=512)(claims_of)


def bringer_in(request: HttpRequest, now: datetime) -> Bringer:
    """The phone that shows its token. Raises NotLetIn."""
    return bringer_of(device_of(request, now))


def phone_asked(claims: Claims) -> Statement:
    return Statement(
        "SELECT d.meet_id, k.roles, k.session_id, k.event_id, m.date, m.time_zone FROM meets_device d"
        " JOIN meets_pitkey k ON k.id = d.key_id JOIN meets_meet m ON m.id = d.meet_id"
        " WHERE d.id = %s AND d.revoked_at IS NULL AND k.revoked_at IS NULL",
        [claims.device.hex],
        "phone_known",
    )


def phone_found(claims: Claims, found: list[tuple], now: datetime) -> Bringer:
    """The phone as it is stored. Raises MoreToSay: it is locked out, or not known here."""
    if not found or found[0][0] != claims.meet:
        raise MoreToSay
    ((meet_id, roles, session_id, event_id, day, time_zone),) = found
    late = now >= _until(day, time_zone)
    return Bringer(claims.device, Source(meet_id, frozenset(read_json(roles)), session_id, event_id, late))


@lru_cache(maxsize=64)
def _until(day: date | str, time_zone: str) -> datetime:
    day = date.fromisoformat(day) if isinstance(day, str) else day
    return delivers_until(Meet(date=day, time_zone=time_zone))
