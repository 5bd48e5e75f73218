"""Every kind of row that a log holds, and its plain form for storage. The door to `athlete_facts` and `event_facts`."""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import fields
from enum import StrEnum

from scoring.athlete_facts import (
    Added,
    BoardSet,
    Card,
    CheckedIn,
    Confirmed,
    DidNotStart,
    Disqualified,
    Joined,
    Jumped,
    Left,
    Replaced,
    Returned,
    Voided,
    WindRead,
    Withdrew,
)
from scoring.errors import NotARow
from scoring.event_facts import (
    Abandoned,
    AlarmSettled,
    AppealDecided,
    AppealLodged,
    BoardChecked,
    CalledIn,
    Closed,
    CutTaken,
    Disregarded,
    Drawn,
    FlightMoved,
    FlightsMerged,
    HandedOver,
    NoGauge,
    OrderCalled,
    ProtestDecided,
    ProtestLodged,
    ReadinessSigned,
    Resumed,
    RuleChanged,
    Shortened,
    Suspended,
    TrialsConfirmed,
)

__all__ = [
    "KINDS", "Abandoned", "Added", "AlarmSettled", "AppealDecided", "AppealLodged",
    "BoardChecked", "BoardSet", "CalledIn", "Card", "CheckedIn",
    "Closed", "Confirmed", "CutTaken", "DidNotStart", "Disqualified", "Disregarded", "Drawn", "Fact", "FlightMoved",
    "FlightsMerged", "HandedOver", "Joined", "Jumped", "Left", "NoGauge", "OrderCalled", "ProtestDecided",
    "ProtestLodged", "ReadinessSigned", "Replaced", "Resumed", "Returned", "RuleChanged", "Shortened", "Suspended",
    "TrialsConfirmed", "Voided", "WindRead", "Withdrew", "from_plain", "kind_of", "to_plain",
]  # fmt: skip

Fact = (
    Drawn | CheckedIn | DidNotStart | Joined | Left | Returned | Withdrew | Added | Confirmed | BoardSet
    | Jumped | Replaced | Voided | WindRead | NoGauge
    | TrialsConfirmed | CutTaken | OrderCalled | CalledIn | Disregarded | AlarmSettled
    | FlightsMerged | FlightMoved | Suspended | Resumed | Abandoned | Shortened | RuleChanged
    | Card | Disqualified | ProtestLodged | ProtestDecided | AppealLodged | AppealDecided
    | BoardChecked | ReadinessSigned | HandedOver | Closed
)  # fmt: skip


def _kind(fact_type: type) -> str:
    name = fact_type.__name__
    return "".join(f"_{letter.lower()}" if letter.isupper() else letter for letter in name).lstrip("_")


KINDS: dict[str, type] = {_kind(fact_type): fact_type for fact_type in typing.get_args(Fact)}
"""Name of the kind of row -> its class; the names are stored, so they only ever grow."""

_HINTS: dict[type, dict[str, object]] = {cls: typing.get_type_hints(cls) for cls in KINDS.values()}


def kind_of(fact: Fact) -> str:
    """The name of a fact's kind, as stored.

    >>> kind_of(CutTaken(3, ("a",), ("a",)))
    'cut_taken'
    """
    return _kind(type(fact))


def to_plain(fact: Fact) -> dict[str, object]:
    """A fact's values as text, numbers and lists; values at their default are left out.

    >>> from scoring.trials import Result
    >>> to_plain(Jumped("31", 2, Result.MARK, 543))
    {'entry': '31', 'round': 2, 'result': 'mark', 'mark': 543}
    """
    values = ((f.name, getattr(fact, f.name), f.default) for f in fields(fact))
    return {name: _listed(value) for name, value, default in values if value != default}


def _listed(value: object) -> object:
    if isinstance(value, tuple):
        return [_listed(item) for item in value]
    return str(value) if isinstance(value, StrEnum) else value


def from_plain(kind: str, plain: Mapping[str, object]) -> Fact:
    """The fact that `to_plain` wrote. Raises NotARow naming the kind or field that cannot be.

    >>> from_plain("jumped", {"entry": "31", "round": 2, "result": "mark", "mark": 543}).mark
    543
    """
    if kind not in KINDS:
        raise NotARow(kind, expected=f"one of {', '.join(KINDS)}", where="kind")
    hints = _HINTS[KINDS[kind]]
    unknown = sorted(set(plain) - set(hints))
    if unknown:
        raise NotARow(unknown[0], expected=f"one of {', '.join(hints)}", where=kind)
    try:
        values = {name: _typed(value, hints[name], f"{kind}.{name}") for name, value in plain.items()}
        return typing.cast(Fact, KINDS[kind](**values))
    except TypeError as problem:
        raise NotARow(dict(plain), expected="every value of the kind", where=kind) from problem


def _typed(value: object, hint: object, where: str) -> object:
    """`value` as the type that the field has; refuses what is not exactly that."""
    origin = typing.get_origin(hint)
    if origin is types.UnionType:
        return None if value is None else _typed(value, typing.get_args(hint)[0], where)
    if origin is tuple:
        if not isinstance(value, list | tuple):
            raise NotARow(value, expected="a list", where=where)
        return tuple(_typed(item, typing.get_args(hint)[0], where) for item in value)
    assert isinstance(hint, type)
    if issubclass(hint, StrEnum):
        try:
            return hint(str(value))
        except ValueError as problem:
            raise NotARow(value, expected=", ".join(repr(str(m)) for m in hint), where=where) from problem
    if type(value) is not hint:
        raise NotARow(value, expected=hint.__name__, where=where)
    return value
