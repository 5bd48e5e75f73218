"""PDF and CSV of packs. Full results are laid out once for all the packs that hold them."""

import json
from collections.abc import Iterable, Mapping
from functools import cached_property
from importlib import import_module

from meets.models import SchoolPack
from meets.publishing.address import public_address
from meets.publishing.packs.content import Sources
from meets.publishing.packs.sheet import pack_csv, pack_sheet
from meets.publishing.sheet import result_sheet_of, standings_sheet_of
from meets.sheets.documents import ResultSheet, TeamStandings
from meets.sheets.for_schools import PackSheet

Document = Mapping[str, object]


class Drawing:
    """Draws packs of a meet from its newest documents."""

    def __init__(self, sources: Sources, base: str = "") -> None:
        self.sources, self.base = sources, base

    def sheet(self, pack: Document) -> PackSheet:
        return pack_sheet(
            pack,
            results=[self._results[event["number"]] for event in pack["events"] if event["number"] in self._results],
            standings=self._standings,
            address=public_address(self.sources.meet, None, self.base) if self.sources.meet.is_public else "",
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
    def _results(self) -> dict[int, ResultSheet]:
        return {one.row.event_id: result_sheet_of(one.document, one.row.sha256) for one in self.sources.results}

    @cached_property
    def _standings(self) -> TeamStandings | None:
        found = self.sources.standings
        return standings_sheet_of(found.document, found.row.sha256) if found else None


def _drawing():
    """ReportLab is heavy, so it is loaded when the first pack is drawn."""
    return import_module("meets.sheets.school_pack")
