"""What a phone sends: a batch of entries, each with its text as it came and the hash that names its content."""

import hashlib
import json
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from json.decoder import WHITESPACE

from meets.pit.problems import NotUnderstood

MOST_ENTRIES = 50
MOST_BYTES = 64 * 1024
LARGEST = 2**31 - 1
ADDED = "added"
_CANONICAL = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False)
_LONE_HALF = re.compile("[\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Sent:
    """One entry. `broken` says what makes it impossible to file under its id and number: '', "form" or "hash"."""

    id: str
    seq: int
    text: str
    said: Mapping[str, object]
    hash: str
    broken: str = ""


@dataclass(frozen=True, slots=True)
class Batch:
    """Entries of one stream; `device` and `epoch` name it, whoever brings them."""

    device: uuid.UUID
    epoch: uuid.UUID
    max_seq: int
    entries: tuple[Sent, ...]


def _no_constant(name: str) -> object:
    raise ValueError(f"{name} is no number")


_DECODER = json.JSONDecoder(parse_constant=_no_constant)


def read_batch(text: str) -> Batch:
    """The batch in a request. Raises NotUnderstood for what no phone of ours would send."""
    said, entries = read_object(text)
    if not isinstance(entries, list):
        raise NotUnderstood("entries", "a list of entries")
    device, epoch = id_in(said, "device"), id_in(said, "epoch")
    max_seq = whole_number(said, "max_seq")
    return Batch(device, epoch, max_seq, tuple(sent_in(*one, device, epoch) for one in entries))


def read_object(text: str) -> tuple[dict[str, object], list[tuple[object, str]] | None]:
    """The values of a JSON object, and those of its list `entries` each with its own text, byte for byte."""
    try:
        return _walk(text)
    except (ValueError, RecursionError, IndexError) as problem:
        raise NotUnderstood("", "a JSON object") from problem


def _walk(text: str) -> tuple[dict[str, object], list[tuple[object, str]] | None]:
    said: dict[str, object] = {}
    entries = None
    at = _after(text, 0)
    if text[at] != "{":
        raise ValueError("no object")
    at = _after(text, at + 1)
    while text[at] != "}":
        key, at = _DECODER.raw_decode(text, at)
        at = _after(text, at)
        if not isinstance(key, str) or text[at] != ":":
            raise ValueError("no key")
        at = _after(text, at + 1)
        if key == "entries" and text[at] == "[":
            entries, at = _elements(text, at)
        else:
            said[key], at = _DECODER.raw_decode(text, at)
        at = _next(text, at, "}")
    if _after(text, at + 1) != len(text):
        raise ValueError("something behind the object")
    return said, entries


def _elements(text: str, at: int) -> tuple[list[tuple[object, str]], int]:
    found = []
    at = _after(text, at + 1)
    while text[at] != "]":
        value, end = _DECODER.raw_decode(text, at)
        found.append((value, text[at:end]))
        at = _next(text, end, "]")
    return found, at + 1


def _next(text: str, at: int, end: str) -> int:
    """Past a comma to what follows it, or at the end."""
    at = _after(text, at)
    if text[at] == end:
        return at
    if text[at] != ",":
        raise ValueError("no comma")
    at = _after(text, at + 1)
    if text[at] == end:
        raise ValueError("nothing behind the comma")
    return at


def _after(text: str, at: int) -> int:
    return WHITESPACE.match(text, at).end()


def sent_in(said: object, text: str, device: uuid.UUID, epoch: uuid.UUID) -> Sent:
    if not isinstance(said, dict) or not isinstance(said.get("id"), str):
        raise NotUnderstood("entries", "objects with an id")
    content = content_hash(said)
    seq = said.get("seq")
    own = (said.get("device"), said.get("epoch")) == (str(device), str(epoch))
    numbered = own and type(seq) is int and 0 < seq <= LARGEST
    if not numbered or read_id(said["id"]) is None:
        return Sent(said["id"], seq if numbered else 0, text, said, content, "form")
    return Sent(said["id"], seq, text, said, content, "" if said.get("hash", content) == content else "hash")


def content_hash(said: Mapping[str, object]) -> str:
    """SHA-256 of the canonical form: sorted keys, no blanks, UTF-8, without `hash` itself."""
    content = {name: value for name, value in said.items() if name != "hash"}
    text = _CANONICAL.encode(content)
    if not text.isascii():
        text = _LONE_HALF.sub(lambda half: f"\\u{ord(half[0]):04x}", text)
    return hashlib.sha256(text.encode()).hexdigest()


def read_id(text: object) -> uuid.UUID | None:
    """The id, if it is written as ids are written everywhere."""
    try:
        found = uuid.UUID(text) if isinstance(text, str) else None
    except ValueError:
        return None
    return found if found is not None and str(found) == text else None


def id_in(said: Mapping[str, object], field: str) -> uuid.UUID:
    found = read_id(said.get(field))
    if found is None:
        raise NotUnderstood(field, "an id (UUID, small letters)")
    return found


def whole_number(said: Mapping[str, object], field: str, least: int = 0) -> int:
    value = said.get(field)
    if type(value) is not int or not least <= value <= LARGEST:
        raise NotUnderstood(field, f"a whole number from {least} to {LARGEST}")
    return value


def short_text(said: Mapping[str, object], field: str, longest: int) -> str:
    """A text that every database can keep; '' if it is not there."""
    value = said.get(field, "")
    if not isinstance(value, str) or len(value) > longest or not storable(value):
        raise NotUnderstood(field, f"a text of at most {longest} characters")
    return value


def storable(value: object) -> bool:
    """Whether all texts in it can be kept: no NUL, no half characters."""
    if isinstance(value, str):
        return "\0" not in value and not _LONE_HALF.search(value)
    if isinstance(value, dict):
        return all(storable(inner) for pair in value.items() for inner in pair)
    return all(map(storable, value)) if isinstance(value, list) else True
