"""How many examples hypothesis draws: all of them before a change is taken, a part of them while it is written."""

import os

from hypothesis import settings

CI = os.environ.get("NEAREST_BREAK_CI") == "yes"
PART = 5
FEWEST = 20


def examples(most: int) -> settings:
    """For a test that draws `most` examples on the project's own CI: `@examples(300)`."""
    return settings(max_examples=drawn(most), deadline=None)


def drawn(most: int, *, all_of_them: bool = CI) -> int:
    return most if all_of_them else min(most, max(most // PART, FEWEST))
