"""Keys whose secret the test knows, as whoever holds the printed code does."""

from itertools import count

from meets.models import PitKey
from tests.factories import PitKeyFactory

_numbers = count(1)


def a_key(**more: object) -> PitKey:
    """A stored key; `secret` is what its code holds."""
    secret = f"invented code {next(_numbers)}"
    key = PitKeyFactory(secret=secret, **more)
    key.secret = secret
    return key
