"""The result sheet as it is posted: one page for up to twenty athletes."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from athletes.paper.fonts import NO_BREAK
from athletes.paper.parts import Sentence, SignatureLines
from athletes.paper.ruled import Cell, Column, Divider, Row, Ruled
from meets.entries.values import with_minus
from meets.sheets.documents import ResultLine, ResultSheet
from meets.sheets.heading import page_for
from meets.sheets.published import PublishedTop
from meets.sheets.wording import who

ROOMY_ROW = 9 * mm
TIGHT_AIR = 0.6 * mm
BLANK = "______"
LEAD = 15 * mm
REACHED = 22 * mm
LONGEST_SIGN = 3


def result_sheet_pdf(sheet: ResultSheet) -> bytes:
    """Places, bests and series with winds; below them what decided ties, remarks, officials and the key."""
    page = page_for(sheet.about, _("Result"))
    above = [*_above(sheet, page.width), Spacer(0, 1 * mm)]
    below = notes_below(sheet, page.width)
    table = table_of(sheet, page.width)
    room = page.height - 1 - sum(part.wrap(page.width, page.height)[1] for part in (*above, table, *below))
    if room > 0 and sheet.lines:
        table.stretch(room, ROOMY_ROW)
    return page.pdf([*above, table, *below])


def table_of(sheet: ResultSheet, width: float, title: str = "") -> Ruled:
    """The lines with their series, as wide as it is given."""
    return Ruled(_columns(sheet, width), _rows(sheet), air=TIGHT_AIR, title=title)


def _above(sheet: ResultSheet, width: float) -> list[Flowable]:
    if sheet.published is not None:
        return [PublishedTop(width, sheet.status, sheet.published)]
    return [Sentence(_posting(sheet), width, lead=sheet.status, size=10.5)]


def _posting(sheet: ResultSheet) -> str:
    """When it was posted and until when protests are taken; blanks to fill in where that is not known yet."""
    if not sheet.protest_minutes:
        return _("no result yet: places may change")
    if sheet.posted_at:
        return _("posted at %(time)s · protests to the referee before %(until)s") % {
            "time": sheet.posted_at,
            "until": sheet.protests_before,
        }
    return ngettext(
        "posted at %(blank)s · protests to the referee before %(blank)s (%(minutes)d minute later)",
        "posted at %(blank)s · protests to the referee before %(blank)s (%(minutes)d minutes later)",
        sheet.protest_minutes,
    ) % {"blank": BLANK, "minutes": sheet.protest_minutes}


def _columns(sheet: ResultSheet, width: float) -> list[Column]:
    feet = any("-" in trial[1:] for line in sheet.lines for trial, _wind in line.series)
    trial, best = (14.5 * mm, 20 * mm) if feet else (13 * mm, 18 * mm)
    columns = [
        Column(_("Place"), 10 * mm, "right", size=11, strong=True),
        Column(_("Bib"), 11 * mm, "right", size=9, whole=True),
        Column(_("Name, school"), 0, size=9.5, under=7),
        *(
            Column(_("Trial %(round)d") % {"round": number}, trial, "mark", size=9, under=6.8)
            for number in range(1, sheet.rounds + 1)
        ),
        Column(_("Best"), best, "mark", size=11, strong=True, under=6.8),
    ]
    if any(line.legal for line in sheet.lines):
        columns.append(Column(_("Best legal"), trial, "mark", size=9, under=6.8))
    if any(_reached(line) for line in sheet.lines):
        columns.append(Column(_("Reached"), REACHED, size=7.5))
    if any(line.points for line in sheet.lines):
        columns.append(Column(_("Points"), 10 * mm, "right", size=9))
    name = width - sum(column.width for column in columns)
    columns[2] = Column(columns[2].title, name, size=9.5, under=7)
    return columns


def _rows(sheet: ResultSheet) -> list[Row]:
    with_legal = any(line.legal for line in sheet.lines)
    with_reached = any(_reached(line) for line in sheet.lines)
    with_points = any(line.points for line in sheet.lines)
    cuts = dict(sheet.cuts)
    rows: list[Row] = []
    klass = ""
    for number, line in enumerate(sheet.lines):
        if number in cuts:
            rows.append(Divider(cuts[number], thick=True))
        if line.klass != klass:
            klass = line.klass
            rows.append(Divider(_("Class %(name)s") % {"name": klass}))
        rows.append(_row(line, sheet.rounds, with_legal, with_reached, with_points))
    if len(sheet.lines) in cuts:
        rows.append(Divider(cuts[len(sheet.lines)], thick=True))
    return rows


def _reached(line: ResultLine) -> tuple[str, ...]:
    """What is too long to stand under the best: standards, records, a best that is another mark."""
    return tuple(mark for mark in line.marks if len(mark) > LONGEST_SIGN)


def _row(line: ResultLine, rounds: int, with_legal: bool, with_reached: bool, with_points: bool) -> tuple[Cell, ...]:
    short = [mark for mark in line.marks if mark not in _reached(line)]
    best_note = " ".join(part for part in (with_minus(line.best_wind), *short) if part)
    taken = ((trial, with_minus(wind)) for trial, wind in line.series)
    series = (*taken, *((("", ""),) * rounds))[:rounds]
    cells: tuple[Cell, ...] = (
        line.place,
        line.bib,
        (line.name, who(line.school, line.string, line.year_group)),
        *series,
        (line.best, best_note),
    )
    if with_legal:
        cells = (*cells, (line.legal, with_minus(line.legal_wind)))
    if with_reached:
        cells = (*cells, " · ".join(_reached(line)))
    return (*cells, line.points) if with_points else cells


def notes_below(sheet: ResultSheet, width: float) -> list[Flowable]:
    """Sentences under the table: ties, remarks, wind; then who signs, and what the signs mean."""
    parts: list[Flowable] = [Spacer(0, 2 * mm)]
    for lead, notes in ((_("Ties"), sheet.tie_notes), (_("Remarks"), sheet.remarks)):
        for number, note in enumerate(notes):
            parts.append(Sentence(note, width, lead=lead, again=number > 0, lead_room=LEAD, size=7.8))
    if sheet.wind_note:
        parts.append(Sentence(sheet.wind_note, width, lead=_("Wind"), lead_room=LEAD, size=7.8))
    if not sheet.lines:
        parts.append(Sentence(_("Nobody has jumped yet."), width, size=9))
    if sheet.officials:
        parts.append(SignatureLines(sheet.officials, width, 10 * mm))
    if sheet.key:
        words = " · ".join(f"{sign} {meaning}".replace(" ", NO_BREAK) for sign, meaning in sheet.key)
        parts += [Spacer(0, 1.5 * mm), Sentence(words, width, lead=_("Key"), lead_room=LEAD, size=7.2)]
    return parts
