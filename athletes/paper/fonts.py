"""Roboto, embedded in every PDF: Latin, Greek and Cyrillic letters, all figures of one width.

The package has no condensed face, so text that is too wide is set smaller, then wrapped; it is never cut.
"""

from __future__ import annotations

import io
import unicodedata
from functools import cache, lru_cache
from importlib.resources import files

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

TEXT = "Roboto-Regular"
STRONG = "Roboto-Bold"
NO_BREAK = "\N{NO-BREAK SPACE}"
MISSING = "\N{REPLACEMENT CHARACTER}"


@cache
def use_fonts() -> frozenset[int]:
    """Make both faces known to ReportLab, once in a process. Answers the characters that both have."""
    folder = files("font_roboto") / "files"
    fonts = [TTFont(name, io.BytesIO((folder / f"{name}.ttf").read_bytes())) for name in (TEXT, STRONG)]
    for font in fonts:
        pdfmetrics.registerFont(font)
    return frozenset.intersection(*(frozenset(font.face.charToGlyph) for font in fonts))


@lru_cache(maxsize=8192)
def printable(text: str) -> str:
    """`text` on one line with what the font cannot draw made visible as a question mark in a diamond.

    Letters in their composed form; invisible marks (zero width, direction) are left out.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_drawn(letter) for letter in unicodedata.normalize("NFC", text))


def _drawn(letter: str) -> str:
    if letter == NO_BREAK:
        return letter
    category = unicodedata.category(letter)
    if category in ("Cc", "Zl", "Zp", "Zs"):
        return " "
    if category == "Cf":
        return ""
    if ord(letter) in use_fonts():
        return letter
    plainer = unicodedata.normalize("NFKC", letter)
    if all(ord(part) in use_fonts() for part in plainer):
        return plainer
    return "" if category in ("Mn", "Me") else MISSING


@lru_cache(maxsize=16384)
def width_at_one(text: str, font: str) -> float:
    """Width of printable text in points at a size of one point."""
    use_fonts()
    return pdfmetrics.stringWidth(text, font, 1)


def wrapped(text: str, font: str, size: float, width: float) -> list[str]:
    """Printable text in lines no wider than `width` points; a word too long for a line is broken."""
    room = width / size
    if width_at_one(text, font) <= room:
        return [text]
    lines: list[str] = []
    line = ""
    for word in filter(None, text.split(" ")):
        longer = f"{line} {word}" if line else word
        if width_at_one(longer, font) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _broken(word, font, room)
        lines += full
    return [*lines, line]


def _broken(word: str, font: str, room: float) -> list[str]:
    """A word in parts that fit; after a hyphen where there is one."""
    parts = []
    while width_at_one(word, font) > room and len(word) > 1:
        end = next((n for n in range(len(word) - 1, 1, -1) if width_at_one(word[:n], font) <= room), 1)
        hyphen = word.rfind("-", 1, end) + 1
        end = hyphen if hyphen > 1 else end
        parts.append(word[:end])
        word = word[end:]
    return [*parts, word]


def fitted(text: str, font: str, size: float, width: float, smallest: float) -> tuple[float, list[str]]:
    """The size and the lines in which printable text fits: as it is, else smaller, else in several lines."""
    wide = width_at_one(text, font)
    if wide * size <= width:
        return size, [text]
    if wide * smallest <= width:
        return int(width / wide * 10) / 10, [text]
    return smallest, wrapped(text, font, smallest, width)
