"""Who brings entries: the phone of the token, known by one statement where there is nothing to be said against it."""

from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from uuid import UUID

from django.db import connection
from django.http import HttpRequest

from meets.models import Meet
from meets.pit.keys.access import Caller, device_of
from meets.pit.keys.reads import delivers_until
from meets.pit.keys.tokens import BadToken, Claims, claims_of
from meets.pit.sync.judging import Source
from meets.pit.sync.tables import read_json

BEARER = "Bearer "


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


def bringer_in(request: HttpRequest, now: datetime) -> Bringer:
    """The phone that shows its token. Raises NotLetIn."""
    header = request.META.get("HTTP_AUTHORIZATION", "")
    if header.startswith(BEARER):
        try:
            known = _at_once(_signed(header.removeprefix(BEARER)), now)
        except BadToken:
            known = None
        if known is not None:
            return known
    return bringer_of(device_of(request, now))


# What was signed once stays signed; whether it still counts is asked each time.
_signed = lru_cache(maxsize=512)(claims_of)


def _at_once(claims: Claims, now: datetime) -> Bringer | None:
    """The phone as it is stored; None where there is more to be said: locked out, or not known here."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT d.meet_id, k.roles, k.session_id, k.event_id, m.date, m.time_zone FROM meets_device d"
            " JOIN meets_pitkey k ON k.id = d.key_id JOIN meets_meet m ON m.id = d.meet_id"
            " WHERE d.id = %s AND d.revoked_at IS NULL AND k.revoked_at IS NULL",
            [claims.device.hex],
        )
        found = cursor.fetchone()
    if found is None or found[0] != claims.meet:
        return None
    meet_id, roles, session_id, event_id, day, time_zone = found
    late = now >= _until(day, time_zone)
    return Bringer(claims.device, Source(meet_id, frozenset(read_json(roles)), session_id, event_id, late))


@lru_cache(maxsize=64)
def _until(day: date | str, time_zone: str) -> datetime:
    day = date.fromisoformat(day) if isinstance(day, str) else day
    return delivers_until(Meet(date=day, time_zone=time_zone))
