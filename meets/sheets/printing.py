"""Which sheets there are: what each is filled from, drawn by and called.

ReportLab is heavy, so a sheet's drawing module is imported when the first one is printed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from importlib import import_module

from django.utils.functional import Promise
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from meets.sheets.documents import ClaimSheet, For
from meets.sheets.lists import field_sheet, protest_slip, start_list, wind_list
from meets.sheets.reads import Known, TeamsKnown
from meets.sheets.results import result_sheet
from meets.sheets.standings import team_standings

LONGEST_NAME = 60


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of sheet. `key` is its address and file name; `draws` names module and function."""

    key: str
    title: Promise
    fill: Callable[[Known], object]
    draws: tuple[str, str]
    reader: For | None = None
    is_result: bool = False


KINDS: dict[str, Kind] = {
    kind.key: kind
    for kind in (
        Kind("start-list", _("Start list"), start_list, ("start_list", "start_list_pdf"), For.OFFICIALS),
        Kind("announcer", _("For the announcer"), start_list, ("start_list", "start_list_pdf"), For.ANNOUNCER),
        Kind("steward", _("For the steward"), start_list, ("start_list", "start_list_pdf"), For.STEWARD),
        Kind("field-sheet", _("Field sheet"), field_sheet, ("field_sheet", "field_sheet_pdf")),
        Kind("wind-list", _("Wind list"), wind_list, ("wind_list", "wind_list_pdf")),
        Kind("protest-slip", _("Protest slip"), protest_slip, ("protest_slip", "protest_slip_pdf")),
        Kind("result", _("Result"), result_sheet, ("result_sheet", "result_sheet_pdf"), is_result=True),
    )
}


def event_sheet(kind: Kind, known: Known, posted_at: datetime | None = None) -> bytes:
    """One sheet of an event as a PDF."""
    module, function = kind.draws
    draw = getattr(import_module(f"meets.sheets.{module}"), function)
    if kind.is_result:
        return draw(result_sheet(known, posted_at))
    document = kind.fill(known)
    return draw(document, kind.reader) if kind.reader else draw(document)


def standings_sheet(known: TeamsKnown) -> bytes:
    """The team standings as a PDF."""
    draw = import_module("meets.sheets.team_standings").team_standings_pdf
    return draw(team_standings(known))


def claim_form(sheet: ClaimSheet) -> bytes:
    """The form of a record claim as a PDF."""
    return import_module("meets.sheets.claim_form").claim_form_pdf(sheet)


def safe_name(words: Iterable[object], ending: str) -> str:
    """A file name that every system takes and a person understands: 03-u15-girls-long-jump-start-list.pdf."""
    parts = (slugify(str(word), allow_unicode=True)[:LONGEST_NAME].strip("-") for word in words)
    return f"{'-'.join(part for part in parts if part) or 'sheet'}{ending}"
