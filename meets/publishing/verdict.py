"""What was found of a published file, in sentences."""

from dataclasses import dataclass

from django.utils.translation import ngettext

MOST_SAID = 20


@dataclass(frozen=True, slots=True)
class Checked:
    """One thing that was looked at: whether it holds, in a sentence. `holds` is None for what is only said."""

    holds: bool | None
    says: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """All that was looked at."""

    checked: tuple[Checked, ...]

    @property
    def holds(self) -> bool:
        return all(one.holds is not False for one in self.checked)


def in_one(wrong: list[str], holds: str) -> Checked:
    """All that is wrong of one kind in one sentence."""
    if not wrong:
        return Checked(True, holds)
    more = len(wrong) - MOST_SAID
    rest = [ngettext("%(n)d more.", "%(n)d more.", more) % {"n": more}] if more > 0 else []
    return Checked(False, " ".join([*wrong[:MOST_SAID], *rest]))
