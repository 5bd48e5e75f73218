"""Who goes through to the next meet, as packs say it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from meets.models import Meet, NextMeet

Document = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class NextKnown:
    """The next meet as plain values; days in ISO form, empty if there is none."""

    name: str
    date: str
    venue: str
    reply_by: str
    reply_to: str


@dataclass(frozen=True, slots=True)
class Going:
    """Why somebody goes through, in words."""

    why: str


def next_meet_of(meet: Meet) -> NextMeet | None:
    return NextMeet.objects.filter(meet=meet).first()


def as_known(following: NextMeet) -> NextKnown:
    return NextKnown(
        following.name,
        following.date.isoformat(),
        following.venue,
        following.reply_by.isoformat() if following.reply_by else "",
        following.reply_to,
    )


def going_through(following: NextMeet, results: Iterable[Document]) -> dict[str, Going]:
    found = {}
    for document in results:
        for line in document["lines"]:
            if line["place"] is not None and line["place"] <= following.places:
                found[line["entry"]] = Going(_("place %(place)d") % {"place": line["place"]})
            elif following.standard and line["standard"] == following.standard:
                found[line["entry"]] = Going(line["standard"])
    return found
