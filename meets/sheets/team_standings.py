"""Team standings: each school's points, event by event, and the total."""

from __future__ import annotations

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from athletes.paper.page import Page
from athletes.paper.parts import Sentence
from athletes.paper.ruled import Cell, Column, Row, Ruled
from meets.sheets.documents import TeamLine, TeamStandings
from meets.sheets.heading import page_for
from meets.sheets.published import PublishedTop

EVENTS_ON_PORTRAIT = 5
WIDEST_EVENT = 26 * mm


def team_standings_pdf(sheet: TeamStandings) -> bytes:
    """Schools in order of their totals; what is still open is said below."""
    page = standings_page(sheet, _("Team standings"))
    return page.pdf(standings_parts(sheet, page.width))


def standings_page(sheet: TeamStandings, kind: str) -> Page:
    """Across where there are many events."""
    return page_for(sheet.about, kind, landscape=len(sheet.events) > EVENTS_ON_PORTRAIT)


def standings_parts(sheet: TeamStandings, width: float) -> list[Flowable]:
    """Status, table and notes."""
    penalties = any(line.penalty for line in sheet.lines)
    rows: list[Row] = [_row(line, penalties) for line in sheet.lines]
    below = [Sentence(note, width, size=8.5) for note in sheet.notes]
    if sheet.still_open:
        below.append(Sentence(", ".join(sheet.still_open), width, lead=_("Still open"), size=8.5))
    if not rows:
        below.append(Sentence(_("No school has points yet."), width, size=9))
    return [
        _above(sheet, width),
        Spacer(0, 1 * mm),
        Ruled(_columns(sheet, width, penalties), rows, row_height=9 * mm),
        Spacer(0, 3 * mm),
        *below,
    ]


def _above(sheet: TeamStandings, width: float) -> Flowable:
    if sheet.published is not None:
        return PublishedTop(width, sheet.status, sheet.published)
    return Sentence("", width, lead=sheet.status, size=10.5)


def _columns(sheet: TeamStandings, width: float, penalties: bool) -> list[Column]:
    first = [Column(_("Place"), 13 * mm, "right", size=12, strong=True)]
    last = [Column(_("Penalty"), 17 * mm, "right", size=9)] if penalties else []
    last.append(Column(_("Total"), 20 * mm, "right", size=13, strong=True))
    left = width - sum(column.width for column in (*first, *last))
    each = min(WIDEST_EVENT, left * 0.7 / max(len(sheet.events), 1))
    school = Column(_("School"), left - each * len(sheet.events), size=10.5)
    return [*first, school, *(Column(event, each, "right", size=9) for event in sheet.events), *last]


def _row(line: TeamLine, penalties: bool) -> tuple[Cell, ...]:
    penalty = (line.penalty,) if penalties else ()
    return (line.place, line.school, *line.points, *penalty, line.total)
