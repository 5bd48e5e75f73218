"""Claims and records in sentences."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

from athletes.models import Discipline
from meets.models import Event, RecordBook, RecordClaim
from scoring.claims import WhyNot

WHY_NOT = {
    WhyNot.TAKE_OFF_ZONE: lazy("marks from a take-off zone are a kind of their own"),
    WhyNot.GUEST: lazy("guests set no record here"),
    WhyNot.NOT_SETTLED: lazy("the trial is not settled yet"),
    WhyNot.OTHER_UNIT: lazy("the book is kept in another unit, in which this mark cannot be written without rounding"),
    WhyNot.WIND_OWED: lazy("the wind is still to come"),
    WhyNot.NWI: lazy("no wind information"),
    WhyNot.WINDY: lazy("wind-assisted"),
}


def would_be(shown: str, level: str, bar: str, *, equals: bool, why_not: WhyNot) -> str:
    """Why a mark that is long enough is no claim: `5.44 would beat the district record 5.40: no wind information.`"""
    words = (
        _("%(mark)s would equal the %(level)s %(bar)s: %(why)s.")
        if equals
        else _("%(mark)s would beat the %(level)s %(bar)s: %(why)s.")
    )
    return words % {"mark": shown, "level": level, "bar": bar, "why": WHY_NOT[why_not]}


def kind_words(discipline: str, category: str, age_group: str) -> str:
    """For whom a record or a standard is: `U15 girls long jump`; what is empty is for all."""
    words = (age_group, Event.Category(category).label if category else "", Discipline(discipline).label)
    return " ".join(str(word) for word in words if word)


def level_words(book: RecordBook) -> str:
    return str(RecordBook.Level(book.level).label)


def hit_words(level: str, *, equals: bool, state: str) -> str:
    """What stands beside a mark: a claim says that it is one until it is approved."""
    level = _("equals %(level)s") % {"level": level} if equals else level
    return level if state == RecordClaim.State.APPROVED else _("%(level)s (claim)") % {"level": level}
