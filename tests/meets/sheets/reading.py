"""PDFs read back: their words by page, and how a page is ruled."""

import io
import re

from pypdf import PdfReader


def pages(content: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]


def words(content: bytes) -> str:
    return "\n".join(pages(content))


def size_mm(content: bytes) -> tuple[int, int]:
    box = PdfReader(io.BytesIO(content)).pages[0].mediabox
    return round(float(box.width) / 72 * 25.4), round(float(box.height) / 72 * 25.4)


def full_lines_mm(content: bytes, page: int, at_least_mm: float) -> list[float]:
    """Heights above the foot of the page, in mm, of the horizontal lines that are at least so long; highest first."""
    found = set()
    matrices = [(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)]
    drawn = PdfReader(io.BytesIO(content)).pages[page].get_contents().get_data().decode("latin1")
    number = r"(-?[\d.]+)"
    pattern = re.compile(
        rf"(?P<push>\bq\b)|(?P<pop>\bQ\b)|{number} {number} {number} {number} {number} {number} cm\b"
        rf"|{number} {number} m {number} {number} l\b"
    )
    for match in pattern.finditer(re.sub(r"\(.*?(?<!\\)\)", "()", drawn, flags=re.DOTALL)):
        if match["push"]:
            matrices.append(matrices[-1])
        elif match["pop"]:
            matrices.pop()
        elif match[3]:
            a, _b, _c, d, e, f = (float(match[n]) for n in range(3, 9))
            old = matrices[-1]
            matrices[-1] = (a * old[0], 0, 0, d * old[3], old[4] + e * old[0], old[5] + f * old[3])
        else:
            x1, y1, x2, y2 = (float(match[n]) for n in range(9, 13))
            if y1 == y2 and abs(x2 - x1) / 72 * 25.4 >= at_least_mm:
                found.add(round((matrices[-1][5] + y1 * matrices[-1][3]) / 72 * 25.4, 2))
    return sorted(found, reverse=True)
