"""A rule that entries of phones rely on, with the change that switches it off and the test that must notice."""

from dataclasses import dataclass

SYNC = "meets/pit/sync"
OF_SYNC, OF_PHONE = "tests/meets/pit/sync", "tests/meets/pit/phone"
OWN = "tests/faults/mutations/test_rules.py"


@dataclass(frozen=True, slots=True)
class Mutation:
    """`old` stands exactly once in its file, or the check says that the table is out of date.

    `quick`: tried in the short run as well, which takes some of each kind. `postgresql`: the rule matters only with
    several connections.
    """

    rule: str
    file: str
    old: str
    new: str
    test: str
    quick: bool = False
    postgresql: bool = False


def on_the_phone(rule: str, file: str, old: str, new: str, test: str) -> Mutation:
    """One of the scripts; `test` is one in a browser, which takes long, where no folder is named."""
    return Mutation(rule, file, old, new, test if test.startswith("tests/") else f"tests/browser/{test}")
