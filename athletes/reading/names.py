"""Names of people as they are typed, tidied without damage, and folded for comparison."""

from __future__ import annotations

import re
import unicodedata

# Written small when a whole name was typed in one case: van der Berg, de Souza.
PARTICLES = frozenset(
    word
    for words in ("van der den ter ten", "von zu zum zur", "de la le du del della di da do dos das e y", "bin bint ibn")
    for word in words.split()
)
# Zero-width and direction marks that come along when text is pasted.
INVISIBLE = dict.fromkeys(map(ord, "\u200b\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"))
APOSTROPHES = "'’‘ʼʻ`´"
IN_A_NAME = re.compile(rf"[^\W\d_](?:[^\W\d_]|[\u0300-\u036f]|[ ,.()·‐\-{APOSTROPHES}\u200c\u200d])*")


def tidy_text(text: str) -> str:
    """Without stray blanks, line breaks and invisible marks."""
    return " ".join(text.translate(INVISIBLE).split())


def tidy_name(text: str, *, initials: bool = False) -> str:
    """A name typed all small or all capitals gets capitals where they belong; any other is left alone.

    With `initials`, two capitals alone stay (JJ is a first name, NG is a surname to be written Ng).

    >>> [tidy_name(name) for name in ("  orla ", "ELMSALL", "O’FARRELL", "mbeki-shaw", "van der Berg", "McXavier")]
    ['Orla', 'Elmsall', 'O’Farrell', 'Mbeki-Shaw', 'van der Berg', 'McXavier']
    """
    name = unicodedata.normalize("NFC", tidy_text(text))
    if not (name.islower() or name.isupper()) or (initials and len(name) == 2 and name.isupper()):
        return name
    words = name.split(" ")
    return " ".join(
        word.lower() if word.lower() in PARTICLES and index < len(words) - 1 else _capitalised(word)
        for index, word in enumerate(words)
    )


def _capitalised(word: str) -> str:
    parts = re.split(rf"([-‐.({APOSTROPHES}])", word)
    # One letter after an apostrophe ends a word (Ama's); more begin one (O'Farrell).
    ends = len(parts) > 2 and len(parts[-1]) == 1 and parts[-2] in APOSTROPHES
    parts = [
        part.lower() if ends and index == len(parts) - 1 else part.capitalize() for index, part in enumerate(parts)
    ]
    return re.sub(r"\bMc([a-z])(?=[a-z])", lambda found: "Mc" + found[1].upper(), "".join(parts))


def is_a_name(text: str) -> bool:
    """Letters of any script, with what names have between them; no digits, no signs."""
    return IN_A_NAME.fullmatch(text.lstrip(APOSTROPHES)) is not None


def folded(text: str) -> str:
    """For comparison only: no case, accents, apostrophes or hyphens.

    >>> folded("O’Farrell") == folded("O'FARRELL"), folded("Mbeki-Shaw") == folded("mbeki  shaw")
    (True, True)
    """
    plain = unicodedata.normalize("NFKD", tidy_text(text)).casefold()
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign) and sign not in APOSTROPHES)
    return " ".join(re.sub(r"[-‐.,()·]", " ", plain).split())
