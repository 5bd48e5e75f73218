import json

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from meets.grid import actions, reads
from meets.grid.actions import reader_for
from meets.grid.cells import Cells, values_of
from meets.grid.comparing import CellsOvertaken, fingerprint
from meets.grid.in_meet import in_meet, name_typed, typist_of
from meets.grid.layout import ENDS_LINE, NO_WIND, Choice, Layout, Typed, layout
from meets.grid.tables import EventsTable
from meets.models import Event, Meet, TypedSheet
from meets.running.refusals import Refusal


@in_meet
@require_GET
def events(request: HttpRequest, meet: Meet) -> HttpResponse:
    table = EventsTable(reads.event_lines(meet), meet=meet)
    return render(request, "desk/grid_list.html", {"meet": meet, "table": table})


@in_meet
@require_http_methods(["GET", "POST"])
def event(request: HttpRequest, meet: Meet, event: Event) -> HttpResponse:
    """The first typing of a sheet."""
    asked = request.POST if request.method == "POST" else request.GET
    choice = Choice(_number(asked, "version"), _number(asked, "flight") or 0, _number(asked, "later_lines"))
    typed = Typed(request.POST)
    if request.method == "POST":
        reader = reader_for(event)
        cells = reader.read(request.POST)
        typed.wrong = reader.wrong
        shown = layout(event, choice, typed)
        if not reader.wrong:
            try:
                sheet = actions.store_first(
                    event=event,
                    cells=cells,
                    version=shown.version,
                    flight=shown.flight,
                    later_lines=shown.later_lines,
                    by=name_typed(request),
                    now=timezone.now(),
                )
                messages.success(request, _("The first typing is kept. Nothing is in the log yet."))
                return redirect("grid:sheet", meet.slug, sheet.pk)
            except Refusal as refusal:
                typed.wrong["nothing"] = str(refusal)
    context = {"event": event, "made": [reads.sheet_line(sheet) for sheet in event.typed_sheets.all()]}
    return _grid(request, meet, layout(event, choice, typed), typed, purpose="first", **context)


@in_meet
@require_GET
def sheet(request: HttpRequest, meet: Meet, sheet: TypedSheet) -> HttpResponse:
    return _sheet(request, meet, sheet)


@in_meet
@require_http_methods(["GET", "POST"])
def again(request: HttpRequest, meet: Meet, sheet: TypedSheet) -> HttpResponse:
    """The second typing, blind: nothing of the first is on the page."""
    typed, seen = Typed(request.POST), fingerprint(sheet.cells)
    if request.method == "POST":
        reader = reader_for(sheet.event)
        cells = reader.read(request.POST)
        typed.wrong = reader.wrong
        if not reader.wrong:
            said = {"cells": cells, "by": name_typed(request), "now": timezone.now()}
            try:
                stored = actions.store_second(sheet_id=sheet.pk, seen=request.POST.get("seen", ""), **said)
                if reads.stage_of(stored) == "agreed":
                    messages.success(request, _("Both typings say the same."))
                return redirect("grid:sheet", meet.slug, sheet.pk)
            except Refusal as refusal:
                typed.wrong["nothing"] = str(refusal)
        else:
            seen = request.POST.get("seen", "")
    shown = layout(sheet.event, _choice(sheet), typed)
    return _grid(request, meet, shown, typed, purpose="second", sheet=sheet, event=sheet.event, seen=seen)


@in_meet
@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, meet: Meet, sheet: TypedSheet) -> HttpResponse:
    """Boxes of an agreed sheet that say something else on the paper after all."""
    if request.method == "GET" and reads.stage_of(sheet) != "agreed":
        return _sheet(request, meet, sheet)
    stands = sheet.cells.get("agreed", sheet.cells["first"])
    typed, seen, overtaken = Typed(request.POST), json.dumps(Cells.of(stands).flat()), []
    if request.method == "POST":
        reader = reader_for(sheet.event)
        cells = reader.read(request.POST)
        typed.wrong = reader.wrong
        if reader.wrong:
            seen = request.POST.get("seen", "")
        else:
            try:
                actions.change(sheet_id=sheet.pk, seen=_seen_cells(request), cells=cells)
                return redirect("grid:sheet", meet.slug, sheet.pk)
            except CellsOvertaken as problem:
                overtaken, typed = problem.says, _as_typed(sheet, problem.merged)
            except Refusal as refusal:
                return _sheet(request, meet, sheet, refusal=str(refusal))
    else:
        typed = _as_typed(sheet, Cells.of(stands))
    shown = layout(sheet.event, _choice(sheet), typed)
    context = {"sheet": sheet, "event": sheet.event, "seen": seen, "overtaken": overtaken}
    return _grid(request, meet, shown, typed, purpose="change", **context)


def _seen_cells(request: HttpRequest) -> dict[str, str]:
    """The boxes as they were when the form was opened; none if the form does not say."""
    try:
        seen = json.loads(request.POST.get("seen", ""))
    except ValueError:
        return {}
    whole = isinstance(seen, dict) and all(isinstance(text, str) for text in seen.values())
    return seen if whole else {}


def _as_typed(sheet: TypedSheet, cells: Cells) -> Typed:
    """Cells in the fields of the form of their sheet."""
    empty = layout(sheet.event, _choice(sheet), Typed())
    given = {(b.first, line.number): line.bib for b in empty.blocks for line in b.lines if line.given}
    return Typed(values_of(cells, given, [block.first for block in empty.blocks]))


@in_meet
@require_POST
def settle(request: HttpRequest, meet: Meet, sheet: TypedSheet) -> HttpResponse:
    chosen = {}
    for one in reads.sheet_page(sheet).differences:
        picked = request.POST.get(f"pick {one.name}", "")
        paper = request.POST.get(f"paper {one.name}", "").strip()
        if paper or picked:
            chosen[one.name] = paper or {"first": one.first, "second": one.second}.get(picked, "")
    try:
        actions.settle(sheet_id=sheet.pk, seen=request.POST.get("seen", ""), chosen=chosen)
    except Refusal as refusal:
        return _sheet(request, meet, sheet, refusal=str(refusal))
    messages.success(request, _("Settled by the paper."))
    return redirect("grid:sheet", meet.slug, sheet.pk)


@in_meet
@require_POST
def store(request: HttpRequest, meet: Meet, sheet: TypedSheet) -> HttpResponse:
    try:
        actions.put_into_log(
            sheet_id=sheet.pk,
            seen=request.POST.get("seen", ""),
            ticked=request.POST.getlist("ticked"),
            reason=request.POST.get("reason", "").strip()[:200],
            seen_version=_number(request.POST, "version") or 0,
            now=timezone.now(),
        )
    except Refusal as refusal:
        return _sheet(request, meet, sheet, refusal=str(refusal))
    messages.success(request, _("The sheet is in the log of %(event)s.") % {"event": sheet.event})
    return redirect("desk:event", meet.slug, sheet.event_id)


@in_meet
@require_POST
def discard(request: HttpRequest, meet: Meet, sheet: TypedSheet) -> HttpResponse:
    try:
        actions.discard(sheet_id=sheet.pk, seen=request.POST.get("seen", ""))
    except Refusal as refusal:
        return _sheet(request, meet, sheet, refusal=str(refusal))
    messages.success(request, _("The typing is thrown away; the log is as it was."))
    return redirect("grid:event", meet.slug, sheet.event_id)


def _choice(sheet: TypedSheet) -> Choice:
    return Choice(sheet.draw_version, sheet.cells.get("flight", 0), sheet.cells.get("later_lines"))


def _number(asked: object, name: str) -> int | None:
    text = asked.get(name, "")
    return int(text) if text.isdecimal() and len(text) < 4 else None


def _grid(
    request: HttpRequest, meet: Meet, shown: Layout, typed: Typed, *, purpose: str, **context: object
) -> HttpResponse:
    context |= {
        "meet": meet,
        "layout": shown,
        "typed": typed,
        "purpose": purpose,
        "typed_by": request.POST.get("typed_by") or typist_of(request),
        "names": json.dumps(dict(shown.names)),
        "no_wind": " ".join(NO_WIND),
        "ends_line": " ".join(ENDS_LINE),
    }
    return render(request, "desk/grid_type.html", context, status=422 if request.method == "POST" else 200)


def _sheet(request: HttpRequest, meet: Meet, sheet: TypedSheet, refusal: str = "") -> HttpResponse:
    if refusal:
        sheet.refresh_from_db()
    context = {
        "meet": meet,
        "event": sheet.event,
        "page": reads.sheet_page(sheet),
        "refusal": refusal,
        "reason": request.POST.get("reason", ""),
        "ticked": request.POST.getlist("ticked"),
    }
    return render(request, "desk/grid_sheet.html", context, status=422 if refusal else 200)
