"""What is known of packs and their letters."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Max, OuterRef, QuerySet, Subquery

from meets.models import Mailing, Meet, Publication, SchoolPack
from meets.publishing.packs.content import hashes_in
from meets.publishing.packs.differences import sentences
from meets.publishing.reads import latest
from meets.publishing.standings import behind_of

STALE = timedelta(minutes=10)
"""Longer than any mail server is waited for: whoever was sending has broken off."""
GIVEN = (Mailing.State.SENDING, Mailing.State.SENT, Mailing.State.UNSURE)
"""States in which a school has a pack, or may have it."""


@dataclass(frozen=True, slots=True)
class Before:
    """The packs of a school so far: the newest, and the newest that was, or may have been, given to it."""

    latest_row: SchoolPack | None = None
    latest: Mapping[str, object] | None = None
    given: Mapping[str, object] | None = None


def newest_packs(meet: Meet) -> QuerySet[SchoolPack]:
    """The newest pack of each school, by the school's name; without PDF and CSV."""
    newest = SchoolPack.objects.filter(meet=meet, school=OuterRef("school")).order_by("-version").values("pk")[:1]
    found = SchoolPack.objects.filter(meet=meet, pk=Subquery(newest))
    return found.defer("pdf", "csv").select_related("school", "meet").order_by("school__name", "school")


def packs_before(meet: Meet) -> dict[int, Before]:
    """By school."""
    given = {
        pack.school_id: json.loads(pack.document)
        for pack in SchoolPack.objects.filter(meet=meet, mailings__state__in=GIVEN)
        .distinct()
        .order_by("version")
        .only("school_id", "document")
    }
    return {
        pack.school_id: Before(pack, json.loads(pack.document), given.get(pack.school_id))
        for pack in newest_packs(meet)
    }


@dataclass(frozen=True, slots=True)
class Letter:
    """The newest pack of a school and how its letter stands; `state` is empty where none was put in line.

    `changes`: how much is new in it; `has`: the version that the school has or may have.
    """

    pack: SchoolPack
    school: str
    school_id: int
    contact: str
    state: str = ""
    mailing: Mailing | None = None
    has: int | None = None

    @property
    def changes(self) -> int:
        return len(sentences(self.pack.changes))


def letters_of(meet: Meet, now: datetime) -> list[Letter]:
    """One for each school that has a pack, by name. Of several letters with a pack the one made last counts."""
    packs = list(newest_packs(meet).defer("pdf", "csv", "document"))
    given = dict(
        SchoolPack.objects.filter(meet=meet, mailings__state__in=GIVEN)
        .values("school")
        .annotate(most=Max("version"))
        .values_list("school", "most")
    )
    mailings = Mailing.objects.filter(pack__in=[pack.pk for pack in packs]).order_by("pk")
    last = {mailing.pack_id: mailing for mailing in mailings}
    return [_letter(pack, last.get(pack.pk), given.get(pack.school_id), now) for pack in packs]


def _letter(pack: SchoolPack, mailing: Mailing | None, has: int | None, now: datetime) -> Letter:
    school = pack.school
    state = state_now(mailing, now) if mailing else ""
    return Letter(pack, school.name, school.pk, school.contact_email, state, mailing, has)


def state_now(mailing: Mailing, now: datetime) -> str:
    """A letter that has been on its way for too long may have arrived; it is stored as such with the next change."""
    broken_off = mailing.tried_at is not None and mailing.tried_at < now - STALE
    return Mailing.State.UNSURE if mailing.state == Mailing.State.SENDING and broken_off else mailing.state


def documents_of(packs: Iterable[SchoolPack]) -> dict[str, Mapping[str, object]]:
    """The published documents that packs were made from, by hash: those, and not newer ones."""
    hashes = {one for pack in packs for one in hashes_in(json.loads(pack.document))}
    found = Publication.objects.filter(sha256__in=hashes).values_list("sha256", "document")
    return {sha256: json.loads(document) for sha256, document in found}


@dataclass(frozen=True, slots=True)
class Since:
    """What happened since the newest packs were made. `published`: a version that is in none of them.

    `standings`: they give another team place, or none. `behind`: events whose points the team standings do not have
    yet, by name, so that packs made now give an old place as well.
    """

    published: bool = False
    standings: bool = False
    behind: tuple[str, ...] = ()


def since_packs(meet: Meet) -> Since:
    """In a number of queries that does not grow with schools and events."""
    newest = latest(meet)
    packs = [json.loads(pack.document) for pack in newest_packs(meet)]
    packed = {one for pack in packs for one in hashes_in(pack)}
    published = bool({publication.sha256 for publication in newest.values()} - packed)
    if None not in newest:
        return Since(published)
    standings = json.loads(newest[None].document)
    places = {school["code"]: _team_place(school) for school in standings["schools"]}
    changed = any(places.get(pack["school"]["code"]) != (pack["team"] and _team_place(pack["team"])) for pack in packs)
    return Since(published, changed, behind_of(standings, newest))


def _team_place(school: Mapping[str, object]) -> tuple[object, ...]:
    return school["place"], school["shared"], school["points"]
