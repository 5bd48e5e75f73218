"""The page that every sheet is printed on: paper, heading, footer with page x of y, bytes.

The same values always give the same bytes, so that a hash of a sheet can be kept.
"""

from __future__ import annotations

import io
import threading
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, NextPageTemplate, PageBreak, PageTemplate

from athletes.paper.fonts import MISSING, STRONG, TEXT, fitted, printable, use_fonts, width_at_one, wrapped

PAPERS = {"A4": A4, "letter": LETTER}
SIDE = 10 * mm
TOP = 10 * mm
BOTTOM = 8 * mm
FOOT = 5 * mm
TITLE = 17
KIND = 12
SMALL = 8.5
SMALLEST = 5
FACT = 9
LEADING = 1.3
NUMBER_ROOM = 38 * mm
HAIRLINE = 0.4
THICK = 1.1

# A font face keeps a reading position while it is embedded, so one PDF is made at a time in a process.
_one_at_a_time = threading.Lock()


@dataclass(frozen=True, slots=True)
class Head:
    """What stands on top of every page. `facts` are lines of text; `number` and the page make the sheet number."""

    meet: str
    title: str
    kind: str
    facts: tuple[str, ...] = ()
    number: str = ""
    version: str = ""


@dataclass(frozen=True, slots=True)
class Foot:
    """What stands below every page, beside the page number."""

    version: str
    printed: str


class Page:
    """A sheet of paper with its heading measured, so that a sheet can use the room that is left."""

    def __init__(
        self,
        head: Head,
        foot: Foot,
        *,
        paper: str = "A4",
        landscape: bool = False,
        size: tuple[float, float] | None = None,
    ) -> None:
        """`size`: width and height in points, where it is no paper."""
        if paper not in PAPERS:
            raise ValueError(f"{paper!r} is no paper; expected {' or '.join(PAPERS)}")
        short, long = PAPERS[paper]
        self.size = size or ((long, short) if landscape else (short, long))
        self.head, self.foot = head, foot
        self.width = self.size[0] - 2 * SIDE
        self._heading = self._lay_heading()
        self.height = self.size[1] - TOP - BOTTOM - FOOT - self._heading_height

    def high_enough(self, story: Sequence[Flowable], lowest: float) -> None:
        """Make the page as high as the story needs, at least `lowest` points."""
        needed = sum(part.wrap(self.width, 1e6)[1] for part in story) + 1
        above_and_below = self.size[1] - self.height
        self.size = (self.size[0], max(lowest, needed + above_and_below))
        self.height = self.size[1] - above_and_below

    def _lay_heading(self) -> list[tuple[float, str, float, str, bool]]:
        """Lines of the heading: distance from its top, font, size, text, whether it stands at the right."""
        use_fonts()
        head = self.head
        kind = printable(head.kind)
        kind_width = width_at_one(kind, STRONG) * KIND
        size, lines = fitted(printable(head.title), STRONG, TITLE, self.width - kind_width - 8 * mm, 11)
        version_width = width_at_one(printable(head.version), TEXT) * SMALL
        small, meet = fitted(printable(head.meet), TEXT, SMALL, self.width - version_width - 4 * mm, SMALLEST)
        laid = [(SMALL + n * small * LEADING, TEXT, small, line, False) for n, line in enumerate(meet)]
        y = SMALL * LEADING + (len(meet) - 1) * small * LEADING
        for number, line in enumerate(lines):
            y += size * 1.12
            laid.append((y, STRONG, size, line, False))
            if number == 0:
                laid.append((y, STRONG, KIND, kind, True))
        y += 4
        room = self.width - (NUMBER_ROOM if head.number else 0)
        for fact in head.facts:
            for line in wrapped(printable(fact), TEXT, FACT, room):
                y += FACT * LEADING
                laid.append((y, TEXT, FACT, line, False))
        self._heading_height = y + 6
        return laid

    def pdf(self, story: Sequence[Flowable]) -> bytes:
        """The finished document."""
        return book([[(self, story)]])

    def draw_heading(self, canvas: Canvas, number: int) -> None:
        """What stands above the story; `number` of the page within its document."""
        top = self.size[1] - TOP
        left, right = SIDE, self.size[0] - SIDE
        lines = [*self._heading, (SMALL, TEXT, SMALL, printable(self.head.version), True)]
        if self.head.number:
            number = _("sheet %(number)s") % {"number": f"{self.head.number}-{number}"}
            lines.append((self._heading_height - 7, STRONG, KIND, number, True))
        text = canvas.beginText()
        for down, font, size, line, at_right in lines:
            x = right - width_at_one(line, font) * size if at_right else left
            text.setTextOrigin(x, top - down)
            text.setFont(font, size)
            text.textOut(line)
        canvas.drawText(text)
        canvas.setLineWidth(THICK)
        canvas.line(left, top - self._heading_height + 2, right, top - self._heading_height + 2)


Section = tuple[Page, Sequence[Flowable]]


def book(documents: Sequence[Sequence[Section]]) -> bytes:
    """Documents behind one another in one file, each of sections that may differ in paper and heading.

    Pages are numbered within each document. The file is called after the first page.
    """
    first = documents[0][0][0]
    buffer = io.BytesIO()
    file = BaseDocTemplate(
        buffer,
        pagesize=first.size,
        title=f"{printable(first.head.title)}: {printable(first.head.kind)}",
        author=printable(first.head.meet),
        subject=printable(first.foot.version),
        invariant=1,
        pageCompression=1,
    )
    story: list[Flowable] = []
    for number, sections in enumerate(documents):
        for part, (page, flowables) in enumerate(sections):
            name = f"{number}-{part}"
            room = Frame(SIDE, BOTTOM + FOOT, page.width, page.height, 0, 0, 0, 0)
            file.addPageTemplates(PageTemplate(name, [room], onPage=_begins(page, number), pagesize=page.size))
            story += [NextPageTemplate(name), PageBreak()] if story else []
            story += flowables
    with _one_at_a_time:
        file.build(story, canvasmaker=_CountedCanvas)
    return buffer.getvalue()


def drawn(paper: str, title: str, pages: Iterable[Callable[[Canvas], None]]) -> bytes:
    """Pages without heading and footer, each drawn by a function of its own."""
    use_fonts()
    buffer = io.BytesIO()
    with _one_at_a_time:
        canvas = Canvas(buffer, pagesize=PAPERS[paper], pageCompression=1, invariant=1)
        canvas.setTitle(printable(title))
        for draw in pages:
            draw(canvas)
            canvas.showPage()
        canvas.save()
    return buffer.getvalue()


def _begins(page: Page, document: int) -> Callable[[Canvas, BaseDocTemplate], None]:
    def begin(canvas: _CountedCanvas, _file: BaseDocTemplate) -> None:
        canvas.begin(document, page.foot)
        page.draw_heading(canvas, canvas.number)

    return begin


class _CountedCanvas(Canvas):
    """Keeps its pages until the end, when their number is known, and draws the footers then."""

    foot: Foot
    document = -1
    number = 0

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self._kept: list[dict[str, object]] = []

    def begin(self, document: int, foot: Foot) -> None:
        """A new page of a document, its pages counted from one."""
        self.number = self.number + 1 if document == self.document else 1
        self.document, self.foot = document, foot

    def showPage(self) -> None:
        self._kept.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        kept = self._kept
        note = _("%(sign)s: a letter that this font does not have") % {"sign": MISSING} if self._replaced() else ""
        pages = Counter(page["document"] for page in kept)
        for page in kept:
            self.__dict__.update(page)
            self._draw_foot(self.number, pages[self.document], note)
            super().showPage()
        super().save()

    def _replaced(self) -> bool:
        """Whether any page shows the sign for a missing letter."""
        states = (pdfmetrics.getFont(name).state.get(self._doc) for name in (TEXT, STRONG))
        return any(state and ord(MISSING) in state.assignments for state in states)

    def _draw_foot(self, number: int, count: int, note: str) -> None:
        left, right, y = SIDE, self._pagesize[0] - SIDE, BOTTOM
        size = 7.5
        pages = _("page %(number)d of %(count)d") % {"number": number, "count": count}
        words = " · ".join(part for part in (self.foot.version, self.foot.printed, note) if part)
        room = right - left - width_at_one(pages, TEXT) * size - 6 * mm
        size_words, lines = fitted(printable(words), TEXT, size, room, 4)
        text = self.beginText()
        text.setFont(TEXT, size_words)
        for up, line in enumerate(reversed(lines)):
            text.setTextOrigin(left, y + up * size_words * LEADING)
            text.textOut(line)
        text.setFont(TEXT, size)
        text.setTextOrigin(right - width_at_one(pages, TEXT) * size, y)
        text.textOut(pages)
        self.drawText(text)
