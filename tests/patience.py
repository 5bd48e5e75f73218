"""How long tests wait for what is promised in seconds.

The promises hold on a machine that does nothing else. Among hundreds of other tests everything takes longer: there a
test shows that it happens at all, and in good time. `NEAREST_BREAK_PROMISES=yes` with `-n 0` holds it to the promise.
"""

import os

STRICT = os.environ.get("NEAREST_BREAK_PROMISES") == "yes"
AMONG_OTHERS = 5


def within(limit: float, *, strict: bool = STRICT) -> float:
    """The limit of a promise, as this run is held to it."""
    return limit if strict else limit * AMONG_OTHERS
