"""A phone comes in with a key. Whoever tries wrong ones has to wait; neither key nor name is logged."""

from dataclasses import dataclass, field
from datetime import datetime
from http import HTTPStatus

from django.core.cache import cache
from django.utils.translation import gettext as _

from meets.pit.crew import tidy_name
from meets.pit.keys.actions import Joined, KeyEnded, NoSuchKey, join
from meets.pit.problems import NotUnderstood, Problem
from meets.pit.sync.message import read_object, short_text

WRONG_KEYS_A_MINUTE, MINUTE_S = 30, 60


@dataclass(frozen=True, slots=True)
class ComingIn:
    """What a phone shows at the door."""

    secret: str = field(repr=False)
    official: str = field(repr=False)
    app_version: str


def read_coming_in(text: str) -> ComingIn:
    """Raises NotUnderstood."""
    said, _entries = read_object(text)
    secret, official = short_text(said, "key", 200), tidy_name(short_text(said, "official", 80))
    if not secret:
        raise NotUnderstood("key", _("the text of the code"))
    if not official:
        raise NotUnderstood("official", _("the name of whoever writes"))
    return ComingIn(secret, official, short_text(said, "app_version", 40))


def come_in(*, said: ComingIn, address: str, now: datetime) -> Joined:
    """Let the phone in. Raises Problem; too many wrong keys from one address are not even looked up."""
    tried = f"wrong-pit-keys-{address}"
    if cache.get(tried, 0) >= WRONG_KEYS_A_MINUTE:
        says = _("Too many wrong codes came from here. Wait a minute, then scan the code again.")
        raise Problem(HTTPStatus.TOO_MANY_REQUESTS, says, retry_after_s=MINUTE_S)
    try:
        return join(secret=said.secret, official=said.official, app_version=said.app_version, now=now)
    except KeyEnded as ended:
        raise Problem(HTTPStatus.GONE, str(ended)) from None
    except NoSuchKey as unknown:
        cache.add(tried, 0, MINUTE_S)
        cache.incr(tried)
        raise Problem(HTTPStatus.NOT_FOUND, str(unknown)) from None
