"""The one form in which a document is written, so that everybody gets the same hash: RFC 8785 for what we use of it.

Keys in the order of their UTF-16 units, no blanks, UTF-8, whole numbers that every JSON reader takes for the same.
"""

import hashlib
import json
from collections.abc import Mapping

LARGEST = 2**53 - 1
_ENCODER = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False, allow_nan=False)


class NotCanonical(ValueError):
    """A value that has no canonical form here; its text says which."""


def canonical(document: object) -> str:
    """The document as canonical text. Raises NotCanonical for fractions, numbers too large and halves of letters.

    >>> canonical({"b": [1, None, True], "a": "é"})
    '{"a":"é","b":[1,null,true]}'
    """
    return _ENCODER.encode(_ordered(document))


def sha256_of(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def file_text(document: object) -> str:
    """The file as it is published: the document with the hash of its canonical text, canonical again."""
    return canonical({"document": document, "sha256": sha256_of(canonical(document))})


def _ordered(value: object) -> object:
    if isinstance(value, Mapping):
        if not all(isinstance(key, str) for key in value):
            raise NotCanonical("a key is no text")
        return {key: _ordered(value[_text(key)]) for key in sorted(value, key=_utf_16)}
    if isinstance(value, list | tuple):
        return [_ordered(item) for item in value]
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int):
        if abs(value) > LARGEST:
            raise NotCanonical(f"{value} is too large a number")
        return int(value)
    if isinstance(value, str):
        return _text(value)
    raise NotCanonical(f"{value!r} is no text, whole number, list or object")


def _text(value: str) -> str:
    if any("\ud800" <= letter <= "\udfff" for letter in value):
        raise NotCanonical("a text holds half a letter")
    return str(value)


def _utf_16(key: str) -> bytes:
    return key.encode("utf-16-be", "surrogatepass")
