"""The top of a published sheet: status and times, version and hash, and the way to its public page."""

from __future__ import annotations

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from athletes.paper.parts import Sentence
from athletes.paper.qr import draw_qr
from meets.sheets.documents import Published

SIDE = 24 * mm


class PublishedTop(Flowable):
    """Sentences at the left; at the right a code that opens the public page, where there is one."""

    def __init__(self, width: float, status: str, published: Published) -> None:
        super().__init__()
        self.width, self.address = width, published.address
        room = width - (SIDE if self.address else 0)
        self._lines = [Sentence(published.says, room, lead=status, size=10.5)]
        hash_words = _("hash %(hash)s") % {"hash": published.hash}
        self._lines.append(Sentence(f"{published.version} · {hash_words}", room, size=8))
        if self.address:
            self._lines.append(Sentence(_("The newest version: %(address)s") % {"address": self.address}, room, size=8))
        self._text_height = sum(line.height + 1 for line in self._lines)
        self.height = max(self._text_height, SIDE - 3 * mm if self.address else 0)

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        top = self.height
        for line in self._lines:
            top -= line.height + 1
            line.drawOn(self.canv, 0, top)
        if self.address:
            # The quiet zone of the code may reach into the margins: nothing is printed there.
            draw_qr(self.canv, self.address, self.width - SIDE + 2 * mm, self.height - SIDE, SIDE)
