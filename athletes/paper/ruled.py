"""A table for paper: quiet lines, two sizes of text in a cell, boxes that a pencil fills.

Platypus' own Table cuts or overlaps text that is too wide and needs a flowable for every cell with two sizes.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from athletes.paper.fonts import STRONG, TEXT, fitted, printable, width_at_one, wrapped
from athletes.paper.page import HAIRLINE, THICK

PAD = 1.2 * mm
LINE = 1.17
ASCENT = 0.9
DESCENT = 0.25
SMALLEST = 5.5
SHRINKS_TO = 0.78
HEADING = 6.8
TITLE = 11
HANGING = re.compile(r"(?<=\d)[^\d\s]+$")
"""What hangs to the right of a mark (`w`), so that marks stand under each other on the point."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column: width in points; `align` left, right, centre, or mark (on the point, letters hanging)."""

    title: str
    width: float
    align: str = "left"
    size: float = 9
    strong: bool = False
    under: float = 7
    halved: str = ""
    """A box below for a second value, with this small label."""
    tick: bool = False
    """An empty box to tick."""
    whole: bool = False
    """Never in two lines, where it could be misread; marks never are."""


@dataclass(frozen=True, slots=True)
class Divider:
    """A line of text across the table; `thick`: under a thick line, as the cut is."""

    text: str
    thick: bool = False


Cell = str | tuple[str, str]
Row = Sequence[Cell] | Divider
Piece = tuple[float, float, str, float, str]
"""A piece of text: x, distance of the baseline from the top of its row, font, size, text."""


@dataclass(slots=True)
class _Laid:
    height: float
    pieces: list[Piece]
    divider: Divider | None = None


def _block_height(block: Sequence[tuple[float, str, float, str]], first: float) -> float:
    """Height of the lines of a cell; `first` is the largest first line of the row, whose baseline they share."""
    if not block:
        return 0
    sizes = [size for _x, _font, size, _line in block]
    return (first or sizes[0]) * ASCENT + sum(sizes[1:]) * LINE + sizes[-1] * DESCENT


def _set(text: str, font: str, size: float, column: Column) -> tuple[float, list[str]]:
    """Size and lines of a text in its column; what must stay whole only gets smaller."""
    if column.whole or column.align == "mark":
        return min(size, (column.width - PAD) / width_at_one(text, font)), [text]
    smallest = min(size, max(SMALLEST, size * SHRINKS_TO))
    return fitted(text, font, size, column.width - 2 * PAD, smallest)


class Ruled(Flowable):
    """Rows under a heading that is repeated on every page. `boxed`: vertical lines too, cells centred.

    Rows are at least `row_height` high and leave `air` above and below their text together. `title` stands above
    the heading and is repeated with it.
    """

    def __init__(
        self,
        columns: Sequence[Column],
        rows: Sequence[Row],
        *,
        row_height: float = 0,
        air: float = 1.6 * mm,
        boxed: bool = False,
        title: str = "",
    ) -> None:
        super().__init__()
        self.columns = tuple(columns)
        self.air, self.boxed, self.title = air, boxed, title
        self.width = sum(column.width for column in columns)
        self._lefts = [sum(column.width for column in columns[:n]) for n in range(len(columns))]
        self._heading = self._lay_heading()
        self._rows = [self._lay(row, row_height) for row in rows]

    @property
    def row_heights(self) -> list[float]:
        """Heights of the rows in points, without dividers."""
        return [row.height for row in self._rows if row.divider is None]

    def stretch(self, room: float, highest: float) -> None:
        """Share `room` points out over the rows, none of them higher than `highest` by it."""
        rows = [row for row in self._rows if row.divider is None]
        more = room / max(len(rows), 1)
        for row in rows:
            extra = max(min(more, highest - row.height), 0)
            row.height += extra
            row.pieces = [(x, down + extra / 2, font, size, text) for x, down, font, size, text in row.pieces]

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        self.height = self._heading.height + sum(row.height for row in self._rows)
        return self.width, self.height

    def split(self, _width: float, height: float) -> list[Flowable]:
        room = height - self._heading.height
        fits = 0
        for row in self._rows:
            room -= row.height
            if room < 0:
                break
            fits += 1
        while fits and self._rows[fits - 1].divider:
            fits -= 1
        if not fits:
            return []
        again = _("%(title)s, continued") % {"title": self.title} if self.title else ""
        return [self._part(self._rows[:fits], self.title), self._part(self._rows[fits:], again)]

    def _part(self, rows: list[_Laid], title: str) -> Ruled:
        part = Ruled(self.columns, (), boxed=self.boxed, title=title)
        part._rows = rows
        return part

    def _lay_heading(self) -> _Laid:
        titles = [
            wrapped(printable(column.title), STRONG, HEADING, column.width - 1.2 * PAD) for column in self.columns
        ]
        title = wrapped(printable(self.title), STRONG, TITLE, self.width) if self.title else []
        pieces = [(0.0, (n + 0.9) * TITLE * LINE, STRONG, TITLE, line) for n, line in enumerate(title)]
        most = max(len(lines) for lines in titles)
        height = len(title) * TITLE * LINE + most * HEADING * LINE + 4 + (2 if title else 0)
        for column, left, lines in zip(self.columns, self._lefts, titles, strict=True):
            for number, line in enumerate(lines):
                down = height - 4 - (len(lines) - 1 - number) * HEADING * LINE
                pieces.append((self._x(column, left, line, STRONG, HEADING), down, STRONG, HEADING, line))
        return _Laid(height, pieces)

    def _lay(self, row: Row, row_height: float) -> _Laid:
        if isinstance(row, Divider):
            return self._lay_divider(row)
        blocks = [self._block(*cell) for cell in zip(self.columns, self._lefts, row, strict=True)]
        first = max((block[0][2] for block in blocks if block), default=0)
        heights = [_block_height(block, first if not self.boxed else 0) for block in blocks]
        content = max(heights)
        height = max(row_height, content + self.air)
        pieces: list[Piece] = []
        for block, block_height in zip(blocks, heights, strict=True):
            down = (height - (block_height if self.boxed else content)) / 2
            for number, (x, font, size, line) in enumerate(block):
                down += (size if self.boxed else first) * ASCENT if number == 0 else size * LINE
                pieces.append((x, down, font, size, line))
        return _Laid(height, pieces)

    def _block(self, column: Column, left: float, cell: Cell) -> list[tuple[float, str, float, str]]:
        """The lines of a cell: x, font, size, text."""
        main, under = (cell, "") if isinstance(cell, str) else cell
        strong = STRONG if column.strong else TEXT
        block = []
        for text, font, size in ((main, strong, column.size), (under, TEXT, column.under)):
            if text:
                size, lines = _set(printable(text), font, size, column)
                block += [(self._x(column, left, line, font, size), font, size, line) for line in lines]
        # Without the space, whoever copies from a PDF or has it read aloud gets the lines run together.
        return [(x, font, size, f"{line} ") for x, font, size, line in block[:-1]] + block[-1:]

    def _lay_divider(self, divider: Divider) -> _Laid:
        lines = wrapped(printable(divider.text), STRONG, HEADING + 0.7, self.width - 2 * PAD)
        step = (HEADING + 0.7) * LINE
        pieces = [(PAD, 1.5 + step * (n + 0.85), STRONG, HEADING + 0.7, line) for n, line in enumerate(lines)]
        return _Laid(len(lines) * step + 4, pieces, divider)

    def _x(self, column: Column, left: float, text: str, font: str, size: float) -> float:
        """Where a line of text begins in its column."""
        if column.align == "left":
            return left + PAD
        wide = width_at_one(text, font) * size
        if column.align == "centre":
            return left + (column.width - wide) / 2
        right = left + column.width - PAD
        if column.align == "mark":
            hanging = HANGING.search(text)
            reserved = width_at_one("w", font) * column.size
            over = width_at_one(hanging[0], font) * size if hanging else 0
            return max(left + PAD / 2, min(right - reserved - wide + over, right + PAD / 2 - wide))
        return right - wide

    def draw(self) -> None:
        canvas = self.canv
        y = self.height
        canvas.setLineWidth(HAIRLINE)
        for row in (self._heading, *self._rows):
            self._draw_text(row, y)
            bottom = y - row.height
            if row is not self._heading and row.divider is None:
                self._draw_boxes(y, bottom)
            if row is self._heading:
                canvas.setLineWidth(THICK * 0.75)
                canvas.line(0, bottom, self.width, bottom)
                canvas.setLineWidth(HAIRLINE)
            elif row.divider and row.divider.thick:
                canvas.setLineWidth(THICK * 1.4)
                canvas.line(0, y, self.width, y)
                canvas.setLineWidth(HAIRLINE)
                canvas.line(0, bottom, self.width, bottom)
            else:
                canvas.line(0, bottom, self.width, bottom)
            y = bottom

    def _draw_text(self, row: _Laid, top: float) -> None:
        if not row.pieces:
            return
        text = self.canv.beginText()
        now = ("", 0.0)
        for x, down, font, size, line in row.pieces:
            if (font, size) != now:
                text.setFont(font, size)
                now = (font, size)
            text.setTextOrigin(x, top - down)
            text.textOut(line)
        self.canv.drawText(text)

    def _draw_boxes(self, top: float, bottom: float) -> None:
        canvas = self.canv
        for column, left in zip(self.columns, self._lefts, strict=True):
            if self.boxed:
                canvas.line(left, top, left, bottom)
            if column.halved:
                middle = bottom + (top - bottom) * 0.42
                canvas.line(left, middle, left + column.width, middle)
                canvas.setFont(TEXT, 5)
                canvas.drawString(left + 1.5, bottom + 1.8, column.halved)
            if column.tick:
                side = min(4.5 * mm, (top - bottom) * 0.7)
                canvas.rect(left + (column.width - side) / 2, (top + bottom - side) / 2, side, side)
        if self.boxed:
            canvas.line(self.width, top, self.width, bottom)
