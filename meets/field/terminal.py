"""A code to scan, drawn in a terminal."""

from collections.abc import Sequence

QUIET = 2


def modules(text: str) -> list[list[bool]]:
    """The code of a text, dark modules True, without its quiet zone."""
    from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel

    code = QRCode(None, QRErrorCorrectLevel.L)  # a screen is never torn or wet: smaller is better
    code.addData(text)
    code.make()
    size = code.getModuleCount()
    return [[bool(code.isDark(row, column)) for column in range(size)] for row in range(size)]


def drawn(dark: Sequence[Sequence[bool]]) -> str:
    """Two rows of modules in a line of text, with their quiet zone; what is light is drawn, for dark terminals.

    >>> print(drawn([[True]]))
    █████
    ██▄██
    ▀▀▀▀▀
    """
    width, side = len(dark) + 2 * QUIET, [True] * QUIET
    blank = [[True] * width] * QUIET
    light = blank + [[*side, *(not one for one in row), *side] for row in dark] + blank
    light += [[False] * width] * (len(light) % 2)
    half = {(True, True): "█", (True, False): "▀", (False, True): "▄", (False, False): " "}
    pairs = zip(light[::2], light[1::2], strict=True)
    return "\n".join("".join(half[pair] for pair in zip(above, below, strict=True)) for above, below in pairs)
