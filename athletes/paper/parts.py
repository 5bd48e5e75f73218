"""Parts of a form: sentences, labelled boxes to write in, lines to sign on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from athletes.paper.fonts import STRONG, TEXT, fitted, printable, width_at_one, wrapped
from athletes.paper.page import HAIRLINE

LABEL = 6.5
LEADING = 1.28


class Sentence(Flowable):
    """A wrapped text, after a lead-in in bold if there is one."""

    def __init__(
        self,
        text: str,
        width: float,
        *,
        lead: str = "",
        again: bool = False,
        lead_room: float = 0,
        size: float = 8,
        strong: bool = False,
    ) -> None:
        """`again`: the lead-in stands in an earlier sentence already; its room is left free here.

        `lead_room`: at least so much room for it, so that several sentences begin under each other.
        """
        super().__init__()
        self.size, self.width = size, width
        self._font = STRONG if strong else TEXT
        self._lead, self._again = printable(lead), again
        self._indent = max(width_at_one(f"{self._lead}  ", STRONG) * size, lead_room) if lead else 0
        self._lines = wrapped(printable(text), self._font, size, width - self._indent)
        self.height = len(self._lines) * size * LEADING + 1.5

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        text = self.canv.beginText()
        y = self.height - self.size
        if self._lead and not self._again:
            text.setFont(STRONG, self.size)
            text.setTextOrigin(0, y)
            text.textOut(self._lead)
        text.setFont(self._font, self.size)
        for line in self._lines:
            text.setTextOrigin(self._indent, y)
            text.textOut(line)
            y -= self.size * LEADING
        self.canv.drawText(text)


@dataclass(frozen=True, slots=True)
class Box:
    """A labelled box: `share` of the width; `value` is printed where it is known already."""

    label: str
    share: float = 1
    value: str = ""


class Boxes(Flowable):
    """A row of boxes that touch one another, labels small in the upper left corner."""

    def __init__(self, boxes: Sequence[Box], width: float, height: float) -> None:
        super().__init__()
        self.boxes, self.width, self.height = boxes, width, height

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        canvas.setLineWidth(HAIRLINE)
        unit = self.width / sum(box.share for box in self.boxes)
        x = 0.0
        for box in self.boxes:
            wide = box.share * unit
            canvas.rect(x, 0, wide, self.height)
            size, lines = fitted(printable(box.label), TEXT, LABEL, wide - 2 * mm, 5)
            text = canvas.beginText(x + 1 * mm, self.height - size - 0.6)
            text.setFont(TEXT, size, size * 1.1)
            text.textLines(lines)
            if box.value:
                size, lines = fitted(printable(box.value), STRONG, 9, wide - 2 * mm, 6)
                text.setFont(STRONG, size, size * 1.1)
                text.setTextOrigin(x + 1 * mm, 2.2 + (len(lines) - 1) * size * 1.1)
                text.textLines(lines)
            canvas.drawText(text)
            x += wide


class SignatureLines(Flowable):
    """Lines to sign on, with who signs below; a known name stands on the line."""

    def __init__(self, roles: Sequence[tuple[str, str]], width: float, height: float = 10 * mm) -> None:
        super().__init__()
        self.roles, self.width, self.height = roles, width, height

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        canvas.setLineWidth(HAIRLINE)
        step = self.width / len(self.roles)
        room = step - 4 * mm
        for number, (role, name) in enumerate(self.roles):
            x = number * step
            canvas.line(x, LABEL * 1.5, x + room, LABEL * 1.5)
            for words, font, largest, y in ((role, TEXT, LABEL, 1.5), (name, TEXT, 9, LABEL * 1.5 + 2.5)):
                if words:
                    size, lines = fitted(printable(words), font, largest, room, 4.5)
                    canvas.setFont(font, size)
                    canvas.drawString(x, y, " ".join(lines))


class Ticks(Flowable):
    """Boxes to tick, each with its words, spread over the width."""

    def __init__(self, words: Sequence[str], width: float, height: float = 7 * mm) -> None:
        super().__init__()
        self.words, self.width, self.height = words, width, height

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        canvas.setLineWidth(HAIRLINE)
        step = self.width / len(self.words)
        side = 4 * mm
        for number, words in enumerate(self.words):
            x = number * step
            canvas.rect(x, (self.height - side) / 2, side, side)
            size, lines = fitted(printable(words), TEXT, 9, step - side - 4 * mm, 7)
            text = canvas.beginText(x + side + 1.5 * mm, self.height / 2 - size * 0.35 + (len(lines) - 1) * size * 0.55)
            text.setFont(TEXT, size, size * 1.1)
            text.textLines(lines)
            canvas.drawText(text)


class WritingLines(Flowable):
    """A small label and empty lines under it."""

    def __init__(self, label: str, width: float, lines: int, step: float = 8.5 * mm) -> None:
        super().__init__()
        self.label, self.width, self.lines, self.step = label, width, lines, step
        self.height = lines * step + 2 * mm

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        canvas.setLineWidth(HAIRLINE)
        size, lines = fitted(printable(self.label), TEXT, LABEL + 0.5, self.width, 5)
        canvas.setFont(TEXT, size)
        canvas.drawString(0, self.height - size, " ".join(lines))
        for number in range(self.lines):
            canvas.line(0, number * self.step + 1 * mm, self.width, number * self.step + 1 * mm)


class SideBySide(Flowable):
    """Two parts of a form beside each other, tops level."""

    def __init__(self, left: Flowable, right: Flowable, gap: float) -> None:
        super().__init__()
        self.left, self.right, self.gap = left, right, gap

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self._left_size = self.left.wrap(width, height)
        self._right_size = self.right.wrap(width, height)
        self.width = self._left_size[0] + self.gap + self._right_size[0]
        self.height = max(self._left_size[1], self._right_size[1])
        return self.width, self.height

    def draw(self) -> None:
        self.left.drawOn(self.canv, 0, self.height - self._left_size[1])
        self.right.drawOn(self.canv, self._left_size[0] + self.gap, self.height - self._right_size[1])
