"""The PDF of a published document. ReportLab is heavy, so what draws is imported when the first one is made."""

from collections.abc import Mapping
from importlib import import_module

from meets.publishing.sheet import result_sheet_of, standings_sheet_of


def pdf_of(document: Mapping[str, object], sha256: str) -> bytes:
    """The same document always gives the same bytes."""
    if document["kind"] == "standings":
        draw = import_module("meets.sheets.team_standings").team_standings_pdf
        return draw(standings_sheet_of(document, sha256))
    draw = import_module("meets.sheets.result_sheet").result_sheet_pdf
    return draw(result_sheet_of(document, sha256))
