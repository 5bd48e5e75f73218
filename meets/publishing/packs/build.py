"""PDF and CSV of packs. Full results are laid out once for all the packs that hold them."""

import json
from collections.abc import Iterable, Mapping
from functools import cached_property
from importlib import import_module

from django.urls import reverse

from meets.models import Meet, SchoolPack
from meets.publishing.address import base_address
from meets.publishing.packs.sheet import pack_csv, pack_sheet
from meets.publishing.sheet import result_sheet_of, standings_sheet_of
from meets.publishing.shown_now import as_shown_now, athletes_in
from meets.sheets.documents import ResultSheet, TeamStandings
from meets.sheets.for_schools import PackSheet

Document = Mapping[str, object]


def results_address(meet: Meet, base: str = "") -> str:
    """Where everybody finds the results of a meet; empty if it is not shown to the public or nobody knows where."""
    found = base_address(base) if meet.is_public else ""
    return found + reverse("results:meet", args=[meet.slug]) if found else ""


class Drawing:
    """Draws packs of a meet. `documents`: the published documents that packs name, by their hash."""

    def __init__(self, meet: Meet, documents: Mapping[str, Document], base: str = "") -> None:
        self.meet, self.documents = meet, documents
        self.address = results_address(meet, base)
        self._sheets: dict[str, ResultSheet | TeamStandings] = {}

    def sheet(self, pack: Document) -> PackSheet:
        return pack_sheet(
            pack,
            results=[self._published(event["sha256"]) for event in pack["events"]],
            standings=self._published(pack["team"]["sha256"]) if pack["team"] else None,
            address=self.address,
        )

    def pdf(self, pack: Document) -> bytes:
        return _drawing().school_pack_pdf(self.sheet(pack), self._laid)

    def csv(self, pack: Document) -> str:
        return pack_csv(pack)

    def all_to_print(self, packs: Iterable[SchoolPack]) -> bytes:
        """All packs in one file."""
        return _drawing().packs_to_print([self.sheet(json.loads(pack.document)) for pack in packs])

    @cached_property
    def _laid(self):
        return _drawing().Laid()

    @cached_property
    def _athletes(self):
        return athletes_in(self.meet)

    def _published(self, sha256: str) -> ResultSheet | TeamStandings:
        """The same object for the same document: what is laid out of it is kept by it."""
        if sha256 not in self._sheets:
            document = as_shown_now(self.documents[sha256], self.meet, self._athletes)
            fill = standings_sheet_of if document["kind"] == "standings" else result_sheet_of
            self._sheets[sha256] = fill(document, sha256)
        return self._sheets[sha256]


def _drawing():
    """ReportLab is heavy, so it is loaded when the first pack is drawn."""
    return import_module("meets.sheets.school_pack")
