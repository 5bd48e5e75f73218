"""PDFs read back: their words by page, and how a page is ruled."""

import io
import re

from pypdf import PdfReader

TEXTS = re.compile(r"\((?:[^()\\]|\\.)*\)", re.DOTALL)
NUMBER = r"-?[\d.]+"
LINE_WORK = re.compile(
    rf"(?P<push>\bq\b)|(?P<pop>\bQ\b)|1 0 0 1 {NUMBER} (?P<shift>{NUMBER}) cm"
    rf"|(?P<x1>{NUMBER}) (?P<y1>{NUMBER}) m (?P<x2>{NUMBER}) (?P<y2>{NUMBER}) l"
)


def pages(content: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]


def words(content: bytes) -> str:
    """All words of the document in the order they are drawn, one space between them."""
    return " ".join(" ".join(pages(content)).split())


def size_mm(content: bytes) -> tuple[int, int]:
    box = PdfReader(io.BytesIO(content)).pages[0].mediabox
    return round(float(box.width) / 72 * 25.4), round(float(box.height) / 72 * 25.4)


def full_lines_mm(content: bytes, page: int) -> list[float]:
    """Heights above the foot of the page, in mm, of the lines across the whole page; highest first."""
    drawn = PdfReader(io.BytesIO(content)).pages[page]
    wide = float(drawn.mediabox.width) - 60
    shifts = [0.0]
    found = set()
    for match in LINE_WORK.finditer(TEXTS.sub("()", drawn.get_contents().get_data().decode("latin1"))):
        if match["push"]:
            shifts.append(shifts[-1])
        elif match["pop"]:
            shifts.pop()
        elif match["shift"]:
            shifts[-1] += float(match["shift"])
        elif match["y1"] == match["y2"] and float(match["x2"]) - float(match["x1"]) >= wide:
            found.add(round((shifts[-1] + float(match["y1"])) / 72 * 25.4, 2))
    return sorted(found, reverse=True)
