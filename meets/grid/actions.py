"""A typed sheet from its first typing into the log. Nothing is in the log before both typings agree."""

from collections.abc import Collection, Mapping
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.grid.cells import Cells, field_sheet
from meets.grid.comparing import differences, fingerprint, refuse_overtaken_cells, settled
from meets.grid.layout import keys_by_bib
from meets.grid.reading import Reader
from meets.models import Event, TypedSheet
from meets.running.reads import entries_of
from meets.running.record import Overtaken, Recorded
from meets.running.refusals import Refusal
from meets.running.sheet import record_sheet
from scoring.marks import Unit


def reader_for(event: Event) -> Reader:
    return Reader(keys_by_bib(entries_of(event)), Unit(event.meet.unit))


@transaction.atomic
def store_first(
    *, event: Event, cells: Cells, version: int, flight: int, later_lines: int, by: str, now: datetime
) -> TypedSheet:
    """Keep a first typing. Refuses an empty one."""
    if not cells.boxes:
        raise Refusal(_("Nothing is typed yet."))
    kept = {"flight": flight, "later_lines": later_lines, "first": cells.plain()}
    return TypedSheet.objects.create(event=event, draw_version=version, cells=kept, typed_by=by, typed_at=now)


@transaction.atomic
def store_second(*, sheet_id: int, seen: str, cells: Cells, by: str, now: datetime) -> TypedSheet:
    """Keep the second typing; if it says the same, the sheet is agreed."""
    sheet = _open_sheet(sheet_id, seen)
    if not cells.boxes:
        raise Refusal(_("Nothing is typed yet."))
    sheet.cells["second"] = cells.plain()
    sheet.cells.pop("agreed", None)
    if not differences(Cells.of(sheet.cells["first"]), cells):
        sheet.cells["agreed"] = sheet.cells["first"]
    sheet.checked_by, sheet.checked_at = by, now
    sheet.save()
    return sheet


@transaction.atomic
def settle(*, sheet_id: int, seen: str, chosen: Mapping[str, str]) -> TypedSheet:
    """Every difference as it is on the paper; then the sheet is agreed. Raises Refusal."""
    sheet = _open_sheet(sheet_id, seen)
    if "second" not in sheet.cells:
        raise Refusal(_("The second typing is still missing."))
    first, second = Cells.of(sheet.cells["first"]), Cells.of(sheet.cells["second"])
    sheet.cells["agreed"] = settled(first, second, chosen, reader_for(sheet.event)).plain()
    sheet.save()
    return sheet


@transaction.atomic
def change(*, sheet_id: int, seen: Mapping[str, str], cells: Cells) -> TypedSheet:
    """Both typings read the paper the same, and looking again it says something else.

    `seen`: the boxes as they were when the form was opened. Raises CellsOvertaken if somebody changed others since.
    """
    sheet = _open_sheet(sheet_id)
    if "agreed" not in sheet.cells:
        raise Refusal(_("The two typings do not agree yet."))
    refuse_overtaken_cells(seen=seen, stands=Cells.of(sheet.cells["agreed"]), typed=cells)
    sheet.cells["agreed"] = cells.plain()
    sheet.save()
    return sheet


@transaction.atomic
def put_into_log(
    *, sheet_id: int, seen: str, ticked: Collection[str], reason: str, seen_version: int, now: datetime
) -> Recorded:
    """The agreed sheet goes into the log, by both names, all of it or nothing. Raises Refusal."""
    sheet = _open_sheet(sheet_id, seen)
    if "agreed" not in sheet.cells:
        raise Refusal(_("The two typings do not agree yet."))
    keys = keys_by_bib(entries_of(sheet.event))
    recorded = record_sheet(
        event_id=sheet.event_id,
        sheet=field_sheet(Cells.of(sheet.cells["agreed"]), keys),
        by=both_names(sheet),
        now=now,
        ticked=ticked,
        reason=reason,
        seen_version=seen_version,
    )
    sheet.cells["stored"] = {"version": recorded.version, "at": now.isoformat()}
    sheet.save()
    return recorded


@transaction.atomic
def discard(*, sheet_id: int, seen: str) -> None:
    """Throw a typing away that is not in the log."""
    _open_sheet(sheet_id, seen).delete()


def both_names(sheet: TypedSheet) -> str:
    if sheet.typed_by.casefold() == sheet.checked_by.casefold():
        return _("%(name)s, typed twice") % {"name": sheet.typed_by}
    return _("%(first)s and %(second)s") % {"first": sheet.typed_by, "second": sheet.checked_by}


def _open_sheet(sheet_id: int, seen: str | None = None) -> TypedSheet:
    """The sheet, for nobody else until the transaction ends. `seen`: its fingerprint when the form was opened."""
    sheet = TypedSheet.objects.select_for_update(of=("self",)).select_related("event__meet").get(pk=sheet_id)
    if "stored" in sheet.cells:
        raise Refusal(_("This sheet is in the log already. Trials are now corrected one by one, with a reason."))
    if seen is not None and seen != fingerprint(sheet.cells):
        raise Overtaken(
            _("Somebody has worked on this sheet in the meantime. Look at it as it stands now, then decide.")
        )
    return sheet
