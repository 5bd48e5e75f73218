"""The pack of a school: a first page for a phone, the series of its own athletes, the full results, the standings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import replace

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, Spacer

from athletes.paper.fonts import STRONG, TEXT, fitted, printable, width_at_one, wrapped
from athletes.paper.page import HAIRLINE, THICK, Foot, Head, Page, Section, book
from athletes.paper.parts import Sentence
from meets.entries.values import with_minus
from meets.sheets.documents import About, ResultSheet
from meets.sheets.for_schools import OwnEvent, OwnLine, PackSheet
from meets.sheets.heading import page_for
from meets.sheets.result_sheet import notes_below, table_of
from meets.sheets.team_standings import standings_page, standings_parts

# A little narrower than most phones are in points of their own, so that nothing gets smaller there.
PHONE_WIDTH, PHONE_HEIGHT = 330, 600
PLACE_ROOM = 32
NAME, DETAIL, MARK, PLACE = 10.5, 8, 13.5, 13.5
LINE_GAPS = (2.2, 1.2)
WIDE, NAME_ROOM, MARK_ROOM = 450, 165, 62
FEWEST_LINES = 90
BAR = 2.4


class Laid:
    """Tables of full results as they were laid out once, for all the packs that hold them."""

    def __init__(self) -> None:
        self._kept: dict[tuple[int, float], tuple[ResultSheet, list[Flowable]]] = {}

    def result(self, sheet: ResultSheet, width: float) -> list[Flowable]:
        key = (id(sheet), width)
        if key not in self._kept:
            self._kept[key] = (sheet, _full_result(sheet, width))
        # The engine of a document leaves notes on what it has placed, so each pack gets parts of its own.
        return [copy(part) for part in self._kept[key][1]]


def school_pack_pdf(sheet: PackSheet, laid: Laid | None = None) -> bytes:
    """The pack as it is mailed: its first page has the shape of a phone's screen."""
    return book([_sections(sheet, laid or Laid(), for_phone=True)])


def packs_to_print(sheets: Sequence[PackSheet]) -> bytes:
    """All packs behind one another on the meet's paper, each with page numbers of its own."""
    laid = Laid()
    return book([_sections(sheet, laid, for_phone=False) for sheet in sheets])


def _sections(sheet: PackSheet, laid: Laid, *, for_phone: bool) -> list[Section]:
    front = _front_page(sheet, for_phone)
    first = list(_first_page(sheet, front.width, LINE_GAPS[0]))
    if for_phone:
        front.high_enough(first, PHONE_HEIGHT)
    for gap in LINE_GAPS[1:]:
        if sum(part.wrap(front.width, front.height)[1] for part in first) <= front.height:
            break
        first = list(_first_page(sheet, front.width, gap))
    sections: list[Section] = [(front, first)]
    page = page_for(sheet.about, _("Results"))
    series = list(_own_series(sheet, page.width))
    if series:
        sections.append((page, series))
    results = [part for result in sheet.results for part in laid.result(result, page.width)]
    if results:
        sections.append((page_for(_headed(sheet.about, _("Full results")), sheet.about.event), results))
    if sheet.standings:
        whole = standings_page(sheet.standings, sheet.about.event)
        sections.append((whole, standings_parts(sheet.standings, whole.width)))
    return sections


def _headed(about: About, title: str) -> About:
    return replace(about, event=title)


def _front_page(sheet: PackSheet, for_phone: bool) -> Page:
    about = sheet.about
    return Page(
        Head(
            meet=about.meet,
            title=about.event,
            kind=_("Results"),
            facts=tuple(fact for fact in (" · ".join(part for part in (about.date, about.pit) if part),) if fact),
            version=about.version,
        ),
        Foot(version=about.version, printed=about.printed),
        paper=about.paper,
        size=(PHONE_WIDTH, PHONE_HEIGHT) if for_phone else None,
    )


def _first_page(sheet: PackSheet, width: float, gap: float) -> Iterator[Flowable]:
    if sheet.changes:
        yield Marked(_said(sheet.since, sheet.changes, width), width)
    if sheet.team:
        yield Sentence(sheet.team, width, lead=_("Team"), size=NAME + 1)
        if sheet.team_status:
            yield Sentence(sheet.team_status, width, size=DETAIL)
    for event in sheet.events:
        yield from _event(event, width, gap)
    if not sheet.events:
        yield Spacer(0, 2 * mm)
        yield Sentence(_("No result of your athletes is published yet."), width, size=NAME)
    if sheet.next_meet:
        yield from _said(_("Next meet"), (sheet.next_meet.about, *sheet.next_meet.going, sheet.next_meet.reply), width)
    if sheet.still_open:
        yield from _said(_("Still open"), sheet.still_open, width)
    if sheet.address:
        yield from _said(_("All results"), (sheet.address,), width)


def _said(title: str, sentences: Sequence[str], width: float) -> list[Flowable]:
    """A small heading and its sentences."""
    words = [Sentence(sentence, width, size=DETAIL + 0.8) for sentence in sentences if sentence]
    return [Spacer(0, 2.2 * mm), Sentence(title, width, size=DETAIL + 1.2, strong=True), *words]


def _event(event: OwnEvent, width: float, gap: float) -> Iterator[Flowable]:
    yield EventLine(event.name, event.status, width)
    for line in event.lines:
        yield AthleteLine(line, width, gap)


class EventLine(Flowable):
    """The name of an event and how far its result is, over a line."""

    def __init__(self, name: str, status: str, width: float) -> None:
        super().__init__()
        self.width, self.status = width, printable(status)
        room = width - width_at_one(self.status, TEXT) * DETAIL - 6
        self.size, self.lines = fitted(printable(name), STRONG, DETAIL + 1, room, DETAIL)
        self.height = 7 + len(self.lines) * self.size * 1.2

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        text = self.canv.beginText()
        text.setFont(STRONG, self.size, self.size * 1.2)
        text.setTextOrigin(0, self.height - 5 - self.size)
        text.textLines(self.lines)
        text.setFont(TEXT, DETAIL)
        text.setTextOrigin(self.width - width_at_one(self.status, TEXT) * DETAIL, self.height - 5 - self.size)
        text.textOut(self.status)
        self.canv.drawText(text)
        self.canv.setLineWidth(THICK * 0.6)
        self.canv.line(0, 0, self.width, 0)


class AthleteLine(Flowable):
    """Place, name and mark large; wind, signs and points, and what else is to be said, below them or, where there is
    width enough, between them.
    """

    def __init__(self, line: OwnLine, width: float, gap: float) -> None:
        super().__init__()
        self.line, self.width, self.gap = line, width, gap
        self._wide = width >= WIDE
        mark_width = width_at_one(printable(line.mark), STRONG) * MARK
        self._mark_x = width - mark_width
        room = NAME_ROOM if self._wide else self._mark_x - PLACE_ROOM - 6
        self._size, self._name = fitted(printable(line.name), STRONG, NAME, room, NAME * 0.85)
        self._right = printable(" · ".join(part for part in (with_minus(line.wind), line.signs, line.points) if part))
        self._right_x = width - width_at_one(self._right, TEXT) * DETAIL - (MARK_ROOM if self._wide else 0)
        bib = _("bib %(bib)s") % {"bib": line.bib} if line.bib else ""
        words = " · ".join(part for part in (bib, _("changed") if line.changed else "", *line.notes) if part)
        self._notes_x = PLACE_ROOM + (NAME_ROOM + 6 if self._wide else 0)
        beside = max(self._right_x - self._notes_x - 8, width * 0.25)
        self._notes = wrapped(printable(words), TEXT, DETAIL, beside) if words else []
        self._down = max(len(self._name) * self._size * 1.15, MARK * 0.82)
        rows = max(len(self._notes), 1 if self._right else 0) * DETAIL * 1.2
        self.height = 2 * gap + (max(self._down + 3, rows) if self._wide else self._down + rows)

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas, top = self.canv, self.height - self.gap
        text = canvas.beginText()
        for words, font, size, x, down in self._pieces():
            text.setFont(font, size)
            text.setTextOrigin(x, top - down)
            text.textOut(words)
        canvas.drawText(text)
        canvas.setLineWidth(HAIRLINE)
        canvas.line(0, 0, self.width, 0)
        if self.line.changed:
            _bar(canvas, self.height)

    def _pieces(self) -> Iterator[tuple[str, str, float, float, float]]:
        """Text with font, size, x, and how far its baseline lies below the top; in the order of reading."""
        base = max(self._size, MARK * 0.82)
        yield f"{printable(self.line.place)} ", STRONG, PLACE, 0, base
        for number, name in enumerate(self._name):
            yield f"{name} ", STRONG, self._size, PLACE_ROOM, base + number * self._size * 1.15
        yield f"{printable(self.line.mark)} ", STRONG, MARK, self._mark_x, base
        under = base if self._wide else self._down + DETAIL * 1.1
        for number, note in enumerate(self._notes):
            yield f"{note} ", TEXT, DETAIL, self._notes_x, under + number * DETAIL * 1.2
        if self._right:
            yield self._right, TEXT, DETAIL, self._right_x, under


class Marked(Flowable):
    """Parts with a bar beside them: what is new."""

    def __init__(self, parts: Sequence[Flowable], width: float) -> None:
        super().__init__()
        self.parts, self.width = parts, width
        self._heights = [part.wrap(width, 1e6)[1] for part in parts]
        self.height = sum(self._heights) + 4

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        y = self.height
        for part, height in zip(self.parts, self._heights, strict=True):
            y -= height
            part.drawOn(self.canv, 0, y)
        _bar(self.canv, self.height - 6)


def _bar(canvas, height: float) -> None:
    canvas.setLineWidth(BAR)
    canvas.line(-5, 1, -5, height - 1)
    canvas.setLineWidth(HAIRLINE)


def _own_series(sheet: PackSheet, width: float) -> Iterator[Flowable]:
    """Every trial of the school's own athletes, event by event."""
    for event in sheet.events:
        yield CondPageBreak(FEWEST_LINES)
        table = table_of(event.series, width, title=" · ".join((event.name, event.status)))
        changed = any(line.changed for line in event.lines)
        yield Marked([table], width) if changed and table.wrap(width, 1e6)[1] < FEWEST_LINES * 3 else table
        yield Spacer(0, 4 * mm)


def _full_result(sheet: ResultSheet, width: float) -> list[Flowable]:
    """A result as the public has it, without the lines to sign on."""
    title = " · ".join(part for part in (sheet.about.event, sheet.status, sheet.about.version) if part)
    unsigned = replace(sheet, officials=())
    return [
        CondPageBreak(FEWEST_LINES),
        table_of(unsigned, width, title=title),
        *([Spacer(0, 1 * mm), Sentence(_published(sheet), width, size=7.8)] if sheet.published else []),
        *notes_below(unsigned, width),
        Spacer(0, 7 * mm),
    ]


def _published(sheet: ResultSheet) -> str:
    """When, by whom, and the hash by which the version can be told."""
    return _("%(says)s · hash %(hash)s") % {"says": sheet.published.says, "hash": sheet.published.hash}
